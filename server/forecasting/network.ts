import { type ShareReading, sealReadings } from '../../analytics/condition/share-lists.ts';
import { type DamagePair, damagePairs } from '../../analytics/forecast/damage-rule.ts';
import type { SealCovariates } from '../../analytics/survival/covariate-table.ts';
import {
  dayNumber,
  daysBetween,
  installationDayNumber,
  type Observation,
  observeSegment,
  type ReadingRules,
  type SealObservation,
  type SegmentObservations,
} from '../../analytics/survival/observation.ts';
import { ObservationTally } from '../../analytics/survival/observation-tally.ts';
import type { Seal } from '../schemas/seal.ts';
import type { Settings } from '../schemas/settings.ts';
import type { ClimateZone, JointType } from '../schemas/words.ts';
import type { ModelHistory, Store } from '../store/store.ts';
import type { SealGroups } from './level-groupings.ts';
import { NetworkClimate } from './network-climate.ts';
import { sealCovariates } from './seal-covariates.ts';

export const DAYS_PER_YEAR = 365.25;

/** The seal in place of one segment, as the model sees it. Ages in years from the middle of the installation range. */
export interface SealInPlace {
  readonly seal: Pick<Seal, 'id' | 'sealantClass' | 'installedFrom' | 'installedTo' | 'lot'>;
  readonly observation: Pick<SealObservation, 'knownFailed' | 'lastSound' | 'lastShare'>;
  readonly covariates: SealCovariates;
  readonly planningAgeYears: number;
  /** Age at the last look that found it sound, or at which its records began; 0 where there was neither. */
  readonly soundAgeYears: number;
  /** NaN unless the last look found it failed. */ readonly foundFailedAgeYears: number;
  /** Share at the last sound look when above 0 and below the threshold; NaN otherwise. */
  readonly damageShare: number;
  /** Every damaged share read on it. */ readonly readings: readonly ShareReading[];
}

export interface NetworkSegment {
  readonly id: string;
  readonly facilityId: string;
  readonly district: string;
  readonly jointType: JointType;
  readonly sealedLengthM: number;
  readonly consequenceWeight: number;
  readonly climateZone: ClimateZone | null;
  /** Resealing is planned for it: neither unsealed by policy nor left alone on purpose. */ readonly planned: boolean;
  readonly inPlace: SealInPlace | null;
}

/** All records of the network as the model sees them. */
export interface Network {
  readonly planningDate: string;
  readonly segments: NetworkSegment[];
  /** How the records of every seal were read. */ readonly readings: ObservationTally;
  /** Covariates of every seal, fitted or not. */ readonly seals: SealCovariates[];
  /** Rows of the fit. */
  readonly rows: {
    readonly covariates: SealCovariates;
    readonly observation: Observation;
    readonly readings: readonly ShareReading[];
    readonly groups: SealGroups;
    /** Decimal year of the installation; NaN where it is not known to a month. */ readonly installedYear: number;
  }[];
  readonly damagePairs: DamagePair[];
  readonly facilityNames: Map<string, string>;
  readonly climate: NetworkClimate;
  readonly leftAlone: number;
}

/** Reads the whole network. @param progress share of segments read, 0-1 @throws what `check` throws, between batches */
export async function readNetwork(
  store: Store,
  settings: Settings,
  today: string,
  progress: (share: number) => void,
): Promise<Network> {
  const planningDate = settings.planningDate ?? today;
  const climate = await NetworkClimate.read(store, settings.stationLimitKm);
  const { segments: count } = await store.countRecords();
  const network: Network = {
    planningDate,
    segments: [],
    readings: new ObservationTally(),
    seals: [],
    rows: [],
    damagePairs: [],
    facilityNames: new Map(),
    climate,
    leftAlone: 0,
  };
  for await (const batch of store.readHistories()) {
    for (const history of batch) addSegment(network, history, settings);
    progress(network.segments.length / Math.max(1, count));
  }
  const leftAlone = network.segments.filter((segment) => !segment.planned).length;
  return { ...network, leftAlone };
}

/** The rules by which the records of one segment are read. */
export const readingRules = (history: ModelHistory, settings: Settings, planningDate: string): ReadingRules => ({
  failureThresholdShare: settings.failureThresholdShare,
  inspectionMethod: settings.inspectionMethod,
  recordsFrom: history.facility.recordsFrom,
  today: planningDate,
});

/** How the records of one segment are read. */
export const readSegment = (history: ModelHistory, rules: ReadingRules): SegmentObservations =>
  observeSegment(
    {
      segmentId: history.segment.id,
      unsealedByPolicy: history.segment.unsealedByPolicy,
      seals: history.seals,
      inspections: history.inspections,
    },
    rules,
  );

function addSegment(network: Network, history: ModelHistory, settings: Settings): void {
  const { segment, seals } = history;
  const rules = readingRules(history, settings, network.planningDate);
  const reading = readSegment(history, rules);
  network.readings.add(reading);
  const normals = network.climate.at(segment.lon, segment.lat);
  network.facilityNames.set(history.facility.id, history.facility.name);
  let inPlace: SealInPlace | null = null;
  for (const [i, seal] of seals.entries()) {
    const observation = reading.seals[i];
    const covariates = sealCovariates(history, seal, normals);
    network.seals.push(covariates);
    const readings = sealReadings(seal, observation, history.inspections, rules.inspectionMethod);
    if (observation.observation) {
      const groups = { district: segment.district, facilityId: segment.facilityId, lot: seal.lot };
      const installedYear = decimalYear(seal);
      network.rows.push({ covariates, observation: observation.observation, readings, groups, installedYear });
    }
    network.damagePairs.push(...damagePairs(observation.looks, settings.failureThresholdShare));
    if (observation.inPlace) inPlace = sealInPlace(seal, observation, { covariates, readings }, rules);
  }
  network.segments.push({
    id: segment.id,
    facilityId: segment.facilityId,
    district: segment.district,
    jointType: segment.jointType,
    sealedLengthM: segment.sealedLengthM,
    consequenceWeight: segment.consequenceWeight,
    climateZone: normals?.zone ?? null,
    planned: !segment.unsealedByPolicy && segment.leftAloneReason === null,
    inPlace: segment.unsealedByPolicy ? null : inPlace,
  });
}

/** 2000-01-01, day 0 of decimal years, so that a day is 1 / 365.25 of one. */
const YEAR_2000 = dayNumber('2000-01-01');
const DAYS_PER_MONTH = 31;

/**
 * See `installedYear` of `Network`. Bounds on the age of a seal whose installation is known less well reach beyond the days of
 * its looks, and would move its failure into years in which nobody looked.
 */
export const decimalYear = (seal: Pick<Seal, 'installedFrom' | 'installedTo'>): number =>
  daysBetween(seal.installedFrom, seal.installedTo) > DAYS_PER_MONTH
    ? Number.NaN
    : 2000 + (installationDayNumber(seal) - YEAR_2000) / DAYS_PER_YEAR;

/** What is known of a seal in place on the planning date. */
export function sealInPlace(
  seal: ModelHistory['seals'][number],
  observation: SealObservation,
  { covariates, readings }: Pick<SealInPlace, 'covariates' | 'readings'>,
  rules: ReadingRules,
): SealInPlace {
  const installed = installationDayNumber(seal);
  const years = (day: string) => Math.max(0, dayNumber(day) - installed) / DAYS_PER_YEAR;
  const planningAgeYears = years(rules.today);
  const { lastSound, foundFailed, knownFailed } = observation;
  // A seal that is in the records was sound when they began: one that had failed by then left none.
  const entryYears = rules.recordsFrom === null ? 0 : years(rules.recordsFrom);
  const lastSoundYears = lastSound ? lastSound.ageDays / DAYS_PER_YEAR : 0;
  const foundFailedAgeYears = knownFailed && foundFailed ? foundFailed.ageDays / DAYS_PER_YEAR : Number.NaN;
  const share = !knownFailed && lastSound ? lastSound.share : 0;
  // Copies of what is needed: a network keeps one of these for each segment, and whole records would take twice the memory.
  const { id, sealantClass, installedFrom, installedTo, lot } = seal;
  return {
    seal: { id, sealantClass, installedFrom, installedTo, lot },
    observation: { knownFailed, lastSound, lastShare: observation.lastShare },
    covariates,
    planningAgeYears,
    soundAgeYears: Math.min(planningAgeYears, knownFailed ? lastSoundYears : Math.max(entryYears, lastSoundYears)),
    foundFailedAgeYears: Math.min(planningAgeYears, foundFailedAgeYears),
    damageShare: share > 0 && share < rules.failureThresholdShare ? share : Number.NaN,
    readings,
  };
}
