import type { ClimateStation } from '../schemas/climate.ts';
import type { RecordKind } from '../schemas/words.ts';
import type { BoxDegrees } from '../store/store.ts';
import type { ImportContext, SealDates } from './import-context.ts';

/** Where in this load a key was first met. */
export interface Place {
  readonly file: string;
  readonly row: number;
}

const FIRST_DAY = Date.UTC(1850, 0, 1);
const DAY_MS = 86_400_000;
const DAYS_KEPT = 128_500;

/**
 * What is stored together with what this load has accepted so far: what a row may refer to, and what it may not repeat.
 * Files are read in the order of their kinds, so that rows come after what they refer to.
 */
export class KnownRecords {
  readonly context: ImportContext;
  private readonly seen = new Map<RecordKind, Map<string, Place>>();
  private readonly districts = new Map<string, string>();
  private readonly sealsOfLoad = new Map<string, SealDates[]>();
  private readonly climateDays = new Map<string, Uint8Array>();
  private stationBox: BoxDegrees | null = null;

  constructor(context: ImportContext) {
    this.context = context;
  }

  firstSeen(kind: RecordKind, key: string): Place | null {
    return this.seen.get(kind)?.get(key) ?? null;
  }

  remember(kind: RecordKind, key: string, place: Place): void {
    const places = this.seen.get(kind);
    if (places) places.set(key, place);
    else this.seen.set(kind, new Map([[key, place]]));
  }

  rememberFacility(id: string, district: string): void {
    this.districts.set(id, district);
  }

  districtOf(facilityId: string): string | null {
    return this.districts.get(facilityId) ?? this.context.facilityDistricts.get(facilityId) ?? null;
  }

  hasSegment(id: string): boolean {
    return this.firstSeen('segments', id) !== null || this.context.segmentKeys.has(id);
  }

  hasStation(id: string): boolean {
    return this.firstSeen('stations', id) !== null || this.context.stationKeys.has(id);
  }

  rememberStation({ id, lon, lat }: ClimateStation, place: Place): void {
    this.remember('stations', id, place);
    const box = this.stationBox ?? [lon, lat, lon, lat];
    this.stationBox = [Math.min(box[0], lon), Math.min(box[1], lat), Math.max(box[2], lon), Math.max(box[3], lat)];
  }

  /** Where the network lies, as far as known: stored segments or stations, else the stations of this load. */
  bounds(): BoxDegrees | null {
    return this.context.bounds ?? this.stationBox;
  }

  rememberSeal(segmentId: string, dates: SealDates): void {
    const seals = this.sealsOfLoad.get(segmentId);
    if (seals) seals.push(dates);
    else this.sealsOfLoad.set(segmentId, [dates]);
  }

  /** Seals of a segment, stored ones replaced by the load's own of the same id. */
  sealsOf(segmentId: string): readonly SealDates[] {
    const stored = this.context.sealDates.get(segmentId) ?? [];
    const loaded = this.sealsOfLoad.get(segmentId);
    if (!loaded) return stored;
    if (stored.length === 0) return loaded;
    return [...stored.filter((seal) => !loaded.some(({ id }) => id === seal.id)), ...loaded];
  }

  /** Whether this load has the day of the station already; remembers it. One bit a day, as records are long. */
  repeatsClimateDay(stationId: string, day: string): boolean {
    const index = (Date.parse(day) - FIRST_DAY) / DAY_MS;
    const days = this.climateDays.get(stationId) ?? new Uint8Array(DAYS_KEPT / 8 + 1);
    this.climateDays.set(stationId, days);
    const bit = 1 << (index & 7);
    const repeated = (days[index >> 3] & bit) !== 0;
    days[index >> 3] |= bit;
    return repeated;
  }
}
