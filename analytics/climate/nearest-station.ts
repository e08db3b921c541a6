import distance from '@turf/distance';

export interface Place {
  readonly lon: number;
  readonly lat: number;
}

/** A little under the length of a degree of latitude on the sphere of mean radius. */
const KM_PER_DEGREE = 111;

/**
 * The station nearest to a place by great circle, if within the limit.
 * @returns the station and its distance in km; null when all are farther away
 */
export function nearestStation<S extends Place>(
  place: Place,
  stations: readonly S[],
  limitKm: number,
): { readonly station: S; readonly km: number } | null {
  let nearest: S | null = null;
  let shortest = limitKm;
  for (const station of stations) {
    // Farther north or south than the nearest so far: spared the trigonometry, which counts for 100,000 segments.
    if (Math.abs(station.lat - place.lat) * KM_PER_DEGREE > shortest) continue;
    const km = distance([place.lon, place.lat], [station.lon, station.lat], { units: 'kilometers' });
    if (km > shortest) continue;
    nearest = station;
    shortest = km;
  }
  return nearest && { station: nearest, km: shortest };
}
