import type { TrialHistory } from '../../analytics/backtest/trial-history.ts';
import type { SealCovariates } from '../../analytics/survival/covariate-table.ts';
import { OBSERVATION_RULES, type SegmentObservations } from '../../analytics/survival/observation.ts';
import { DAYS_PER_YEAR, readingRules, readSegment } from '../forecasting/network.ts';
import { NetworkClimate } from '../forecasting/network-climate.ts';
import { sealCovariates } from '../forecasting/seal-covariates.ts';
import type { Settings } from '../schemas/settings.ts';
import type { ModelHistory, Store } from '../store/store.ts';

/** Where a seal is and what it is grouped by. */
export interface SealPlace {
  readonly segmentId: string;
  readonly sealId: string;
  readonly sealantClass: string;
  readonly facilityId: string;
  readonly district: string;
  readonly lot: string | null;
  readonly inPlace: boolean;
}

/** Rows of a fit, ages in years; `seal` says whose they are. */
export interface EvidenceRow {
  readonly seal: number;
  readonly entryYears: number;
  readonly lowerYears: number;
  /** Infinity while sound. */ readonly upperYears: number;
}

/** A seal whose records contradict themselves. */
export interface ContradictorySeal {
  readonly seal: number;
  readonly rule: string;
  readonly used: boolean;
  readonly note: string;
}

/** What inspections of one calendar year found. */
export interface YearOfLooks {
  looks: number;
  /** Seals found failed for the first time. */ failures: number;
}

/** All records of the network as its evidence needs them: every seal keeps the name of its place. */
export interface EvidenceNetwork {
  readonly segments: number;
  /** Every seal, in the order of the segments. */ readonly seals: SealPlace[];
  readonly covariates: SealCovariates[];
  readonly rows: EvidenceRow[];
  readonly contradictory: ContradictorySeal[];
  readonly years: Map<number, YearOfLooks>;
  readonly facilityNames: Map<string, string>;
  /** Histories that forecasts are tried on, and the place of each of their seals in `seals`. */
  readonly histories: TrialHistory[];
  readonly sealOfHistory: number[];
}

/**
 * Forecasts are tried on at most this many segments: 80,000 looks and more, which blur a share by a point at most, in half
 * a minute of work instead of minutes.
 */
export const MOST_TRIED_SEGMENTS = 20_000;

/**
 * Reads all histories as they were known on the planning date.
 * @param progress share of segments read, 0-1; what it throws stops the reading
 */
export async function readEvidenceNetwork(
  store: Store,
  settings: Settings,
  planningDate: string,
  progress: (share: number) => void,
): Promise<EvidenceNetwork> {
  const climate = await NetworkClimate.read(store, settings.stationLimitKm);
  const { segments: count } = await store.countRecords();
  const network: EvidenceNetwork = {
    segments: count,
    seals: [],
    covariates: [],
    rows: [],
    contradictory: [],
    years: new Map(),
    facilityNames: new Map(),
    histories: [],
    sealOfHistory: [],
  };
  const everyNth = Math.min(1, MOST_TRIED_SEGMENTS / Math.max(1, count));
  let read = 0;
  for await (const batch of store.readHistories()) {
    for (const history of batch) {
      const tried = Math.floor((read + 1) * everyNth) > Math.floor(read * everyNth);
      addHistory(network, history, { settings, planningDate, climate, tried });
      read++;
    }
    progress(read / Math.max(1, count));
  }
  return network;
}

interface Reading {
  readonly settings: Settings;
  readonly planningDate: string;
  readonly climate: NetworkClimate;
  readonly tried: boolean;
}

function addHistory(network: EvidenceNetwork, history: ModelHistory, reading: Reading): void {
  const { segment, facility, seals } = history;
  const observed = readSegment(history, readingRules(history, reading.settings, reading.planningDate));
  const normals = reading.climate.at(segment.lon, segment.lat);
  const first = network.seals.length;
  network.facilityNames.set(facility.id, facility.name);
  for (const [i, seal] of seals.entries()) {
    network.seals.push({
      segmentId: segment.id,
      sealId: seal.id,
      sealantClass: seal.sealantClass,
      facilityId: segment.facilityId,
      district: segment.district,
      lot: seal.lot,
      inPlace: observed.seals[i].inPlace,
    });
    network.covariates.push(sealCovariates(history, seal, normals));
    addObservation(network, first + i, observed.seals[i]);
  }
  if (!reading.tried) return;
  network.histories.push(trialHistory(history, normals?.zone ?? null));
  for (let i = 0; i < seals.length; i++) network.sealOfHistory.push(first + i);
}

function addObservation(network: EvidenceNetwork, seal: number, read: SegmentObservations['seals'][number]): void {
  const { observation, rule, note } = read;
  if (observation) {
    const { entryDays, lowerDays, upperDays } = observation;
    const years = (days: number): number => days / DAYS_PER_YEAR;
    network.rows.push({
      seal,
      entryYears: years(entryDays),
      lowerYears: years(lowerDays),
      upperYears: years(upperDays),
    });
  }
  if (rule === 'contradictory-kept' || rule === 'contradictory-left-out')
    network.contradictory.push({ seal, rule, used: OBSERVATION_RULES[rule].used, note: note() });
  for (const { onDay } of read.looks) yearOf(network, onDay).looks++;
  if (read.foundFailed) yearOf(network, read.foundFailed.onDay).failures++;
}

function yearOf({ years }: EvidenceNetwork, day: string): YearOfLooks {
  const year = Number(day.slice(0, 4));
  const known = years.get(year) ?? { looks: 0, failures: 0 };
  years.set(year, known);
  return known;
}

/** Copies of what trials need: whole records would take several times the memory. */
function trialHistory({ segment, facility, seals, inspections }: ModelHistory, zone: string | null): TrialHistory {
  return {
    records: {
      segmentId: segment.id,
      unsealedByPolicy: segment.unsealedByPolicy,
      seals: seals.map(({ id, installedFrom, installedTo, removedOn, removalReason }) => {
        return { id, installedFrom, installedTo, removedOn, removalReason };
      }),
      inspections: inspections.map(({ inspectedOn, method, damagedShare, inspector }) => {
        return { inspectedOn, method, damagedShare, inspector };
      }),
    },
    recordsFrom: facility.recordsFrom,
    facility: segment.facilityId,
    district: segment.district,
    climateZone: zone,
    lengthM: segment.sealedLengthM,
    sealantClasses: seals.map(({ sealantClass }) => sealantClass),
  };
}
