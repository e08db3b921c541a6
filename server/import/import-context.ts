import type { BoxDegrees, Store } from '../store/store.ts';

export interface SealDates {
  readonly id: string;
  readonly installedFrom: string;
  readonly installedTo: string;
  readonly removedOn: string | null;
}

/** What the rows of a load are held against: the day, and what is stored already. */
export interface ImportContext {
  /** ISO day. Nothing in a record may lie after it. */ readonly today: string;
  readonly facilityDistricts: ReadonlyMap<string, string>;
  readonly segmentKeys: ReadonlySet<string>;
  readonly stationKeys: ReadonlySet<string>;
  readonly sealDates: ReadonlyMap<string, readonly SealDates[]>;
  /** Where the stored network lies, to tell longitude from latitude; null when nothing is stored. */
  readonly bounds: BoxDegrees | null;
}

/** What is read of the store. */
export type ContextStore = Pick<
  Store,
  'readFacilityDistricts' | 'readKeys' | 'readSealDates' | 'networkBounds' | 'listStations'
>;

/** Reads what is stored, once for a preview or load. Bounds fall back on the climate stations. */
export async function readImportContext(store: ContextStore, today: string): Promise<ImportContext> {
  const [facilityDistricts, segmentKeys, stationKeys, sealDates, network] = await Promise.all([
    store.readFacilityDistricts(),
    store.readKeys('segments'),
    store.readKeys('stations'),
    store.readSealDates(),
    store.networkBounds(),
  ]);
  const bounds = network ?? boxOf((await store.listStations()).map(({ lon, lat }) => [lon, lat] as const));
  return { today, facilityDistricts, segmentKeys, stationKeys, sealDates, bounds };
}

function boxOf(points: readonly (readonly [number, number])[]): BoxDegrees | null {
  if (points.length === 0) return null;
  const lons = points.map(([lon]) => lon);
  const lats = points.map(([, lat]) => lat);
  return [Math.min(...lons), Math.min(...lats), Math.max(...lons), Math.max(...lats)];
}
