import type { ClimateNormals } from '../../analytics/climate/climate-normals.ts';
import { sealReadings } from '../../analytics/condition/share-lists.ts';
import type { SegmentObservations } from '../../analytics/survival/observation.ts';
import type { ModelReport } from '../schemas/model.ts';
import type { Seal } from '../schemas/seal.ts';
import type { LineGeometry } from '../schemas/segment.ts';
import type { Settings } from '../schemas/settings.ts';
import type { SegmentHistory, SegmentState, Store } from '../store/store.ts';
import { readingRules, readSegment, type SealInPlace, sealInPlace } from './network.ts';
import { NetworkClimate } from './network-climate.ts';
import { sealCovariates } from './seal-covariates.ts';
import type { GroupedSegment } from './shared-effects.ts';

/** The records of one segment as the model in use reads them. */
export interface SegmentInPlace {
  readonly history: SegmentHistory;
  readonly geometry: LineGeometry;
  readonly settings: Settings;
  /** Of the model in use; null before the first forecast. */ readonly report: ModelReport | null;
  /** Day that the forecast starts from. */ readonly planningDate: string;
  readonly reading: SegmentObservations;
  readonly normals: ClimateNormals | null;
  /** What the seal in place is grouped by. */ readonly grouped: GroupedSegment;
  readonly state: SegmentState | null;
  /** The seal in place; both null where there is none. */ readonly seal: Seal | null;
  readonly inPlace: SealInPlace | null;
}

/** @returns null when there is no such segment */
export async function readSegmentInPlace(store: Store, id: string): Promise<SegmentInPlace | null> {
  const found = await store.findSegment(id);
  if (!found) return null;
  const { geometry, ...history } = found;
  const { segment } = history;
  const settings = await store.readSettings();
  const report = (await store.readModelReport()) as ModelReport | null;
  const planningDate =
    report?.forecastFrom ?? report?.planningDate ?? settings.planningDate ?? new Date().toISOString().slice(0, 10);
  const rules = readingRules(history, settings, planningDate);
  const reading = readSegment(history, rules);
  const normals = (await NetworkClimate.read(store, settings.stationLimitKm)).at(segment.lon, segment.lat);
  const at = reading.seals.findLastIndex((seal) => seal.inPlace);
  const seal = history.seals[at] ?? null;
  const known = seal && {
    covariates: sealCovariates(history, seal, normals),
    readings: sealReadings(seal, reading.seals[at], history.inspections, rules.inspectionMethod),
  };
  return {
    ...{ history, geometry, settings, report, planningDate, reading, normals, seal },
    grouped: {
      id: segment.id,
      groups: { district: segment.district, facilityId: segment.facilityId, lot: seal?.lot ?? null },
    },
    state: await store.findState(id),
    inPlace: known && sealInPlace(seal, reading.seals[at], known, rules),
  };
}
