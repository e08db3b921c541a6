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
/** Files of one load; a request may name fewer. */
const MOST_FILES = 1024;

/**
 * What is stored together with what this load has accepted so far: what a row may refer to, and what it may not repeat.
 * Files are read in the order of their kinds, so that rows come after what they refer to.
 */
export class KnownRecords {
  readonly context: ImportContext;
  /** Key -> row and file in one small number: there are hundreds of thousands of keys in a load. */
  private readonly seen = new Map<RecordKind, Map<string, number>>();
  private readonly files: string[] = [];
  private readonly districts = new Map<string, string>();
  private readonly sealsOfLoad = new Map<string, SealDates[]>();
  private readonly climateDays = new Map<string, Uint8Array>();
  private stationBox: BoxDegrees | null = null;

  constructor(context: ImportContext) {
    this.context = context;
  }

  firstSeen(kind: RecordKind, key: string): Place | null {
    const place = this.seen.get(kind)?.get(key);
    if (place === undefined) return null;
    return { file: this.files[place % MOST_FILES], row: Math.floor(place / MOST_FILES) };
  }

  remember(kind: RecordKind, key: string, { file, row }: Place): void {
    if (this.files.at(-1) !== file && !this.files.includes(file)) this.files.push(file);
    const place = row * MOST_FILES + this.files.indexOf(file);
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

  private has(kind: RecordKind, key: string): boolean {
    return this.seen.get(kind)?.has(key) ?? false;
  }

  hasSegment(id: string): boolean {
    return this.has('segments', id) || this.context.segmentKeys.has(id);
  }

  hasStation(id: string): boolean {
    return this.has('stations', id) || this.context.stationKeys.has(id);
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
