import type { LineGeometry } from '../../schemas/segment.ts';
import type { BoxDegrees, Store } from '../../store/store.ts';

/** One line of the map of a report. */
export interface MapLine {
  /** Of its facility. */ readonly district: string;
  /** Year, from 0, by which half of its length or more is worked on; null: not within the horizon. */
  readonly year: number | null;
  readonly lines: readonly (readonly (readonly number[])[])[];
}

/** Up to so many segments are drawn by themselves; more as runs of neighbours, so that the file stays small. */
const MOST_SEGMENTS = 20_000;
const FINEST_RUNS_ZOOM = 11;

export interface MapLines {
  readonly lines: readonly MapLine[];
  /** Whether lines are runs of several segments. */ readonly runs: boolean;
}

/** The network with the years of its first work, from what is stored. */
export async function mapLines(store: Store, scenarioId: string): Promise<MapLines> {
  const bounds = await store.networkBounds();
  if (!bounds) return { lines: [], runs: false };
  const districts = await store.readFacilityDistricts();
  const world = grown(bounds);
  const segments = await store.segmentsInBox(world, {}, MOST_SEGMENTS + 1, scenarioId);
  const runs = segments.length > MOST_SEGMENTS;
  const drawn = runs ? await store.runsInBox(FINEST_RUNS_ZOOM, world, {}, scenarioId) : segments;
  const lines = drawn.map(({ facilityId, workByYear, geometry }) => ({
    district: districts.get(facilityId) ?? '',
    year: firstYear(workByYear),
    lines: linesOf(geometry),
  }));
  return { lines, runs };
}

const grown = ([west, south, east, north]: BoxDegrees): BoxDegrees => [
  west - 1e-6,
  south - 1e-6,
  east + 1e-6,
  north + 1e-6,
];

const linesOf = ({ type, coordinates }: LineGeometry): number[][][] =>
  type === 'LineString' ? [coordinates] : coordinates;

const HALF = 0.5 - 1e-6;

/** A line's length is worked on by the first year in which its shares have come to half. */
function firstYear(workByYear: Float32Array | null): number | null {
  let share = 0;
  for (const [year, part] of (workByYear ?? []).entries()) {
    share += part;
    if (share >= HALF) return year;
  }
  return null;
}
