import type { DamageKind, InspectionMethod, SealantClass } from '../server/schemas/words.ts';
import { LAST_DAY } from './agency.ts';
import { isoOf } from './days.ts';
import type { SegmentVisit } from './lives.ts';
import { type Draws, openDraws } from './random.ts';
import type { SealRecord } from './seal-records.ts';

/** A seal has failed when this share of its length is damaged. */
export const FAILED_SHARE = 0.1;
/** Damaged share grows as FAILED_SHARE x (age / life) ^ GROWTH. */
export const GROWTH = 2.2;
/** Standard deviation of the logarithm of a reading about the true share: right to a factor of 1.5 in four of five cases. */
export const READING_LOG_SD = 0.3;

/** An inspection as written down. */
export interface Reading {
  readonly segmentId: string;
  readonly inspectedOn: string;
  readonly method: InspectionMethod;
  readonly inspector: string | null;
  readonly damagedShare: number;
  readonly damageShares: Partial<Record<DamageKind, number>>;
  readonly severity: 'low' | 'moderate' | 'high';
  readonly notes: string | null;
}

/** A sound seal read as failed, or a failed one read as sound, between readings that say otherwise. */
export interface Contradiction {
  readonly segmentId: string;
  readonly inspectedOn: string;
  readonly misread: 'sound-as-failed' | 'failed-as-sound';
}

const HIGHEST_SOUND = 0.097;
const LOWEST_FAILED = 0.101;
const roundShare = (share: number) => Math.round(share * 1000) / 1000;

/** What each class suffers from, in proportion. */
const DAMAGE_OF: Record<'silicone' | 'hot' | 'other' | 'compression', readonly (readonly [DamageKind, number])[]> = {
  silicone: [
    ['adhesive-failure', 6],
    ['intrusion', 2],
    ['cohesive-failure', 1],
  ],
  hot: [
    ['adhesive-failure', 4],
    ['cohesive-failure', 2],
    ['hardening', 3],
    ['extrusion', 1],
    ['weeds', 1],
  ],
  other: [
    ['adhesive-failure', 4],
    ['hardening', 2],
    ['cohesive-failure', 2],
  ],
  compression: [
    ['complete-loss', 3],
    ['extrusion', 2],
    ['intrusion', 3],
  ],
};

function damageOf(sealantClass: SealantClass) {
  if (sealantClass.startsWith('silicone')) return DAMAGE_OF.silicone;
  if (sealantClass.startsWith('hot-applied')) return DAMAGE_OF.hot;
  return sealantClass === 'preformed-compression' ? DAMAGE_OF.compression : DAMAGE_OF.other;
}

/** The damaged share shared out among two or three kinds; a stretch may show two kinds at once. */
function splitByKind(draws: Draws, sealantClass: SealantClass, share: number): Partial<Record<DamageKind, number>> {
  const kinds = damageOf(sealantClass);
  const first = draws.weighted(kinds);
  const second = draws.weighted(kinds);
  const part = draws.between(0.55, 0.95);
  const shares: Partial<Record<DamageKind, number>> = {};
  if (share === 0) return shares;
  shares[first] = roundShare(first === second ? share : share * part);
  if (second !== first) shares[second] = roundShare(share * (1 - part * 0.9));
  return shares;
}

/** The reading of a joint's whole length: noisy, and on the right side of the threshold. */
function readJointLength(draws: Draws, ageDays: number, lifeDays: number): number {
  const trueShare = FAILED_SHARE * (ageDays / lifeDays) ** GROWTH;
  const read = trueShare * Math.exp(READING_LOG_SD * draws.normal());
  return ageDays < lifeDays ? Math.min(read, HIGHEST_SOUND) : Math.min(1, Math.max(read, LOWEST_FAILED));
}

/** Severity by the limits of the LTPP Distress Identification Manual: 10 % and 50 % of the length. */
const severityOf = (share: number) => (share < 0.1 ? 'low' : share <= 0.5 ? 'moderate' : 'high');

const NOTES = [
  'spalls beside the joint',
  'pumping at the shoulder',
  'seal above the surface',
  'seen from the shoulder only',
];

/** All readings of a segment that were filed, in order of date. Rounds before the facility's records left nothing. */
export function readSegment(
  seed: number,
  segmentId: string,
  recordsFromDay: number,
  seals: readonly SealRecord[],
  visits: readonly SegmentVisit[],
): { readings: Reading[]; contradictions: Contradiction[] } {
  const draws = openDraws(seed, 'readings', segmentId);
  const readings: Reading[] = [];
  const contradictions: Contradiction[] = [];
  for (const seal of seals) {
    const seen = visits.filter(({ visit, day }) => {
      const until = seal.life.removedDay ?? LAST_DAY + 1;
      return visit !== seal.life.lostVisit && day > seal.latestInstalledDay && day < until && day >= recordsFromDay;
    });
    const ofSeal = seen.map((visit) => readVisit(draws, seal, visit));
    const contradiction = draws.chance(0.006) ? misread(draws, seal, ofSeal) : null;
    if (contradiction) contradictions.push(contradiction);
    readings.push(...ofSeal);
  }
  return { readings, contradictions };
}

function readVisit(draws: Draws, seal: SealRecord, { visit, day }: SegmentVisit): Reading {
  const ageDays = day - seal.life.installedDay;
  const ofLength = readJointLength(draws, ageDays, seal.life.lifeDays);
  // A sample unit is a part of the joint, rated by its own rules: a different number, and never to be merged.
  const ofSample = Math.min(1, ofLength * Math.exp(0.25 + 0.45 * draws.normal()));
  return writeReading(draws, seal, isoOf(day), visit.method, visit.method === 'joint-length' ? ofLength : ofSample);
}

function writeReading(
  draws: Draws,
  seal: SealRecord,
  inspectedOn: string,
  method: InspectionMethod,
  share: number,
): Reading {
  const damagedShare = roundShare(share);
  return {
    segmentId: seal.segmentId,
    inspectedOn,
    method,
    inspector: draws.chance(0.96) ? `I${String(draws.integer(1, 24)).padStart(2, '0')}` : null,
    damagedShare,
    damageShares: splitByKind(draws, seal.life.sealantClass, damagedShare),
    severity: severityOf(damagedShare),
    notes: draws.chance(0.03) ? draws.pick(NOTES) : null,
  };
}

/**
 * Turns one reading round, where its neighbours by the same method then contradict it. A sound seal read as failed is
 * chosen only where every later reading is sound; a failed one read as sound only where a later reading confirms it.
 */
function misread(draws: Draws, seal: SealRecord, readings: Reading[]): Contradiction | null {
  const places = readings.flatMap((reading, i) => (reading.method === 'joint-length' ? [i] : []));
  const failed = places.filter((i) => readings[i].damagedShare >= FAILED_SHARE);
  const allSound = failed.length === 0 && seal.life.removalReason !== 'failed' && places.length >= 2;
  const at = allSound ? places[draws.integer(0, places.length - 2)] : failed[1];
  if (at === undefined || (!allSound && failed.length < 3)) return null;
  const { inspectedOn } = readings[at];
  const share = allSound ? draws.between(0.12, 0.35) : draws.between(0.01, 0.06);
  readings[at] = writeReading(draws, seal, inspectedOn, 'joint-length', share);
  return { segmentId: seal.segmentId, inspectedOn, misread: allSound ? 'sound-as-failed' : 'failed-as-sound' };
}
