import { type ClimateNormals, climateNormals } from '../../analytics/climate/climate-normals.ts';
import { nearestStation } from '../../analytics/climate/nearest-station.ts';
import type { ClimateStation } from '../schemas/climate.ts';
import type { Store } from '../store/store.ts';

type StationNormals = Pick<ClimateStation, 'id' | 'lon' | 'lat'> & { readonly normals: ClimateNormals };

/**
 * The climate of a network: each segment takes the normals of the nearest station with a usable record, within a limit.
 * Farther segments have no climate of their own: the model reads their climate as the network's mean, and counts them.
 */
export class NetworkClimate {
  readonly #stations: readonly StationNormals[];
  readonly #unusable: readonly string[];
  readonly #limitKm: number;
  #without = 0;

  constructor(stations: readonly StationNormals[], unusable: readonly string[], limitKm: number) {
    this.#stations = stations;
    this.#unusable = unusable;
    this.#limitKm = limitKm;
  }

  static async read(store: Store, limitKm: number): Promise<NetworkClimate> {
    const { usable, unusable } = await stationNormals(store);
    return new NetworkClimate(usable, unusable, limitKm);
  }

  /** Normals at a place, or null; a null is counted. */
  at(lon: number, lat: number): ClimateNormals | null {
    const found = nearestStation({ lon, lat }, this.#stations, this.#limitKm);
    if (!found) this.#without++;
    return found?.station.normals ?? null;
  }

  /** What the reader must know of it, in a sentence or two; empty when every segment has a climate. */
  get note(): string {
    const patchy =
      this.#unusable.length > 0 ? `Stations without one complete year of record: ${this.#unusable.join(', ')}. ` : '';
    if (this.#without === 0) return patchy.trim();
    const segments = `${this.#without.toLocaleString('en')} segments`;
    if (this.#stations.length === 0)
      return `${patchy}No climate station has a usable record, so climate is not in the model.`;
    return `${patchy}${segments} have no usable station within ${this.#limitKm} km and take the network's mean climate.`;
  }
}

interface Stations {
  readonly usable: StationNormals[];
  readonly unusable: string[];
}

/** Decades of days are read once for each state of the records, not for each segment card. */
const kept = new WeakMap<Store, { readonly dataVersion: number; readonly stations: Promise<Stations> }>();

async function stationNormals(store: Store): Promise<Stations> {
  const dataVersion = await store.dataVersion();
  const last = kept.get(store);
  if (last?.dataVersion === dataVersion) return last.stations;
  const stations = readStations(store);
  kept.set(store, { dataVersion, stations });
  return stations;
}

async function readStations(store: Store): Promise<Stations> {
  const stations: Stations = { usable: [], unusable: [] };
  for (const { id, lon, lat } of await store.listStations()) {
    const normals = climateNormals(await store.readClimateDays(id));
    if (normals) stations.usable.push({ id, lon, lat, normals });
    else stations.unusable.push(id);
  }
  return stations;
}
