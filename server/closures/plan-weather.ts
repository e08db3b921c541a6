import { nearestStation } from '../../analytics/climate/nearest-station.ts';
import { dayOfYear } from '../../analytics/closures/resampled-weather.ts';
import type { WeatherGate } from '../../analytics/closures/weather-gates.ts';
import { type WorkableDays, type WorkableDaysRefused, workableDays } from '../../analytics/closures/workable-days.ts';
import type { ClimateDay, ClimateStation } from '../schemas/climate.ts';
import type { Store } from '../store/store.ts';

/** Hours of work in a day. */
export interface WorkHours {
  readonly startMinuteOfDay: number;
  readonly lengthMinutes: number;
}

export interface JudgedHours extends WorkHours {
  readonly stationId: string;
  readonly gate: WeatherGate;
  readonly facilityIds: readonly string[];
  readonly found: WorkableDays | WorkableDaysRefused;
}

type Days = ReturnType<typeof workableDays>;
interface Kept {
  readonly dataVersion: number;
  readonly stations: readonly ClimateStation[];
  readonly days: Map<string, ClimateDay[]>;
  readonly judged: Map<string, Days>;
  readonly places: ReadonlyMap<string, { lon: number; lat: number }>;
}
/** Decades of days are read and judged once for each state of the records. */
const keptOf = new WeakMap<Store, Kept>();

async function keptFor(store: Store): Promise<Kept> {
  const dataVersion = await store.dataVersion();
  const known = keptOf.get(store);
  if (known?.dataVersion === dataVersion) return known;
  const [stations, places] = [await store.listStations(), await store.closures.readFacilityPlaces()];
  const fresh: Kept = { dataVersion, stations, places, days: new Map(), judged: new Map() };
  keptOf.set(store, fresh);
  return fresh;
}

/** The weather record of each facility's nearest station, judged by the hours and limits of the work. */
export class PlanWeather {
  readonly #kept: Kept;
  readonly #stationOf: ReadonlyMap<string, string>;
  readonly #dryDaysBefore: number;
  readonly #used = new Map<string, JudgedHours & { facilityIds: string[] }>();

  private constructor(kept: Kept, stationOf: ReadonlyMap<string, string>, dryDaysBefore: number) {
    this.#kept = kept;
    this.#stationOf = stationOf;
    this.#dryDaysBefore = dryDaysBefore;
  }

  /** @param dryDaysBefore whole days without rain that a wet joint takes to dry */
  static async read(store: Store, facilityIds: Iterable<string>, dryDaysBefore: number): Promise<PlanWeather> {
    const kept = await keptFor(store);
    const { stationLimitKm } = await store.readSettings();
    const stationOf = new Map<string, string>();
    for (const id of facilityIds) {
      const place = kept.places.get(id);
      const near = place && nearestStation(place, kept.stations, stationLimitKm);
      if (!near) continue;
      stationOf.set(id, near.station.id);
      if (!kept.days.has(near.station.id)) kept.days.set(near.station.id, await store.readClimateDays(near.station.id));
    }
    return new PlanWeather(kept, stationOf, dryDaysBefore);
  }

  /** The record that facilities are judged by, day by day; null: none is near. */
  recordOf(facilityId: string): { readonly stationId: string; readonly days: readonly ClimateDay[] } | null {
    const stationId = this.#stationOf.get(facilityId);
    const days = stationId === undefined ? undefined : this.#kept.days.get(stationId);
    return stationId === undefined || days === undefined ? null : { stationId, days };
  }

  /** Chance of workable weather on a day, 0 to 1; null where no record lets it be judged. */
  chance(facilityId: string, gate: WeatherGate, hours: WorkHours, day: number): number | null {
    const stationId = this.#stationOf.get(facilityId);
    if (stationId === undefined) return null;
    const found = this.#judge(facilityId, stationId, gate, hours);
    return found.kind === 'refused' ? null : found.chanceByDay[dayOfYear(day)];
  }

  /** The record of a facility's station, judged for some hours; null: no station is near. Not told to the reader. */
  judgedFor(facilityId: string, gate: WeatherGate, hours: WorkHours): Days | null {
    const stationId = this.#stationOf.get(facilityId);
    return stationId === undefined ? null : this.#days(stationId, gate, hours);
  }

  /** What was judged so far, for the reader. */
  get judged(): readonly JudgedHours[] {
    return [...this.#used.values()];
  }

  get dryDaysBefore(): number {
    return this.#dryDaysBefore;
  }

  #judge(facilityId: string, stationId: string, gate: WeatherGate, hours: WorkHours): Days {
    const key = this.#keyOf(stationId, gate, hours);
    const used = this.#used.get(key);
    if (used) {
      if (!used.facilityIds.includes(facilityId)) used.facilityIds.push(facilityId);
      return used.found;
    }
    const found = this.#days(stationId, gate, hours);
    this.#used.set(key, { stationId, gate, ...hours, facilityIds: [facilityId], found });
    return found;
  }

  #days(stationId: string, gate: WeatherGate, hours: WorkHours): Days {
    const key = this.#keyOf(stationId, gate, hours);
    const shift = { gate, ...hours, dryDaysBefore: this.#dryDaysBefore };
    const found = this.#kept.judged.get(key) ?? workableDays(this.#kept.days.get(stationId) ?? [], shift);
    this.#kept.judged.set(key, found);
    return found;
  }

  #keyOf(stationId: string, gate: WeatherGate, { startMinuteOfDay, lengthMinutes }: WorkHours): string {
    return [stationId, gate.id, startMinuteOfDay, lengthMinutes, this.#dryDaysBefore].join(' ');
  }
}
