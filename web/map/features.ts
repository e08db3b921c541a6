import { probabilityAt } from './expressions.ts';

/** A line of the map as the screens see it. Below the segment zoom a line is a run of segments. */
export type PickedFeature = PickedSegment | PickedRun;
interface Picked {
  readonly facilityId: string;
  readonly dueYear: number | null;
  /** Text of levels, one character a year. */ readonly levels: string | null;
  /** Share of it worked on by a program, one character a year of its horizon; null: none, or no program is shown. */
  readonly workByYear: string | null;
  readonly lengthM: number;
  /** West, south, east, north of what of it lies in the loaded tiles. */
  readonly box: readonly [number, number, number, number];
}
export interface PickedSegment extends Picked {
  readonly kind: 'segment';
  readonly id: string;
  readonly direction: string | null;
  readonly damagedShare: number | null;
  readonly unsealed: boolean;
}
export interface PickedRun extends Picked {
  readonly kind: 'run';
  readonly id: string;
  readonly segments: number;
  readonly distressedM: number;
}

interface TileFeature {
  readonly id?: string | number | undefined;
  readonly geometry: GeoJSON.Geometry;
  readonly properties: Readonly<Record<string, unknown>>;
}

const numberOr = <F>(value: unknown, fallback: F): number | F => (typeof value === 'number' ? value : fallback);

/** Reads a feature of a tile. Properties that are absent in the tile are null here. */
export function readFeature({ id, geometry, properties }: TileFeature): PickedFeature {
  const common = {
    facilityId: String(properties.facility ?? ''),
    dueYear: numberOr(properties.due, null),
    levels: typeof properties.p === 'string' ? properties.p : null,
    workByYear: typeof properties.workByYear === 'string' ? properties.workByYear : null,
    lengthM: numberOr(properties.lengthM, 0),
    box: boxOf(geometry),
  };
  if (typeof properties.segments === 'number') {
    const distressedM = numberOr(properties.distressedM, 0);
    return { ...common, kind: 'run', id: String(id ?? common.box), segments: properties.segments, distressedM };
  }
  return {
    ...common,
    kind: 'segment',
    id: String(properties.id),
    direction: typeof properties.direction === 'string' ? properties.direction : null,
    damagedShare: numberOr(properties.damaged, null),
    unsealed: properties.unsealed === true,
  };
}

/**
 * One entry for each segment or run, which may be drawn by several tiles and layers; soonest due first, and of those of one
 * year the likeliest to have failed by now.
 */
export function distinctFeatures(features: readonly PickedFeature[]): PickedFeature[] {
  const byKey = new Map<string, PickedFeature>();
  for (const feature of features) {
    const key = `${feature.kind} ${feature.id}`;
    const seen = byKey.get(key);
    byKey.set(key, seen ? { ...seen, box: unite(seen.box, feature.box) } : feature);
  }
  const due = ({ dueYear }: PickedFeature) => dueYear ?? Number.POSITIVE_INFINITY;
  const failedNow = ({ levels }: PickedFeature) => probabilityAt(levels, 0) ?? -1;
  return [...byKey.values()].sort(
    (a, b) => orderOf(due(a), due(b)) || orderOf(failedNow(b), failedNow(a)) || (a.id < b.id ? -1 : 1),
  );
}

const orderOf = (a: number, b: number): number => (a < b ? -1 : a > b ? 1 : 0);

type Box = PickedFeature['box'];
export const unite = (a: Box, b: Box): Box => [
  Math.min(a[0], b[0]),
  Math.min(a[1], b[1]),
  Math.max(a[2], b[2]),
  Math.max(a[3], b[3]),
];

/** The box around a line or lines; other geometries do not occur in joint tiles. */
export function boxOf(geometry: GeoJSON.Geometry): Box {
  const parts =
    geometry.type === 'LineString'
      ? [geometry.coordinates]
      : geometry.type === 'MultiLineString'
        ? geometry.coordinates
        : [];
  let box: Box = [180, 90, -180, -90];
  for (const part of parts) for (const [lon, lat] of part) box = unite(box, [lon, lat, lon, lat]);
  return box;
}
