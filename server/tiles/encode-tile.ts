import { fromGeojsonVt } from '@maplibre/vt-pbf';
import type { LineGeometry } from '../schemas/segment.ts';
import type { TileRun, TileSegment } from '../store/store.ts';
import { clipLine } from './clip-line.ts';
import { probabilityText } from './probability-text.ts';
import { TILE_BUFFER, TILE_EXTENT, type TileAddress, tilePosition } from './tile-grid.ts';

type Tags = Record<string, string | number | boolean>;
type TileLine = [number, number][];
interface TileFeature {
  id: number;
  type: 2;
  geometry: TileLine[];
  tags: Tags;
}

/** Mapbox Vector Tile 2.1 with one layer, `segments`. */
export const encodeSegments = (tile: TileAddress, segments: readonly TileSegment[]): Uint8Array =>
  encodeLayer(
    'segments',
    featuresOf(tile, segments, (s) => s.rowId, segmentTags),
  );

/** Mapbox Vector Tile 2.1 with one layer, `runs`. */
export const encodeRuns = (tile: TileAddress, runs: readonly TileRun[]): Uint8Array =>
  encodeLayer(
    'runs',
    featuresOf(tile, runs, (r) => r.runId, runTags),
  );

function featuresOf<R extends { geometry: LineGeometry }>(
  tile: TileAddress,
  rows: readonly R[],
  idOf: (row: R) => number,
  tagsOf: (row: R) => Tags,
): TileFeature[] {
  const features: TileFeature[] = [];
  for (const row of rows) {
    const geometry = tileLines(tile, row.geometry);
    if (geometry.length > 0) features.push({ id: idOf(row), type: 2, geometry, tags: tagsOf(row) });
  }
  return features;
}

/** Lines in whole tile units, clipped to the buffered tile; never a piece of zero length, which the format forbids. */
export function tileLines(tile: TileAddress, geometry: LineGeometry): TileLine[] {
  const lines = geometry.type === 'LineString' ? [geometry.coordinates] : geometry.coordinates;
  const found: TileLine[] = [];
  for (const line of lines) {
    const positions = line.map(([lon, lat]) => tilePosition(tile, lon, lat));
    for (const part of clipLine(positions, -TILE_BUFFER, TILE_EXTENT + TILE_BUFFER)) found.push(onGrid(part));
  }
  return found;
}

/** A joint shorter than one unit becomes a dash of one unit: drawn small beats not drawn. */
function onGrid(part: readonly (readonly [number, number])[]): TileLine {
  const line: TileLine = [];
  for (const [x, y] of part) {
    const point: [number, number] = [Math.round(x), Math.round(y)];
    const last = line.at(-1);
    if (!last || last[0] !== point[0] || last[1] !== point[1]) line.push(point);
  }
  if (line.length === 1) line.push([line[0][0] + 1, line[0][1]]);
  return line;
}

/** The format has no null: a value that is not known is left out. */
function known(tags: Record<string, string | number | boolean | null>): Tags {
  const kept: Tags = {};
  for (const [name, value] of Object.entries(tags)) if (value !== null && value !== false) kept[name] = value;
  return kept;
}

const rounded = (value: number | null, digits: number): number | null =>
  value === null ? null : Math.round(value * 10 ** digits) / 10 ** digits;

const segmentTags = (s: TileSegment): Tags =>
  known({
    id: s.id,
    facility: s.facilityId,
    kind: s.facilityKind,
    jointType: s.jointType,
    direction: s.direction,
    class: s.sealantClass,
    lengthM: rounded(s.sealedLengthM, 1),
    damaged: rounded(s.damagedShare, 3),
    due: s.dueYear,
    p: s.failedByYearEnd && probabilityText(s.failedByYearEnd),
    workByYear: s.workByYear && probabilityText(s.workByYear),
    unsealed: s.unsealedByPolicy,
  });

const runTags = (r: TileRun): Tags =>
  known({
    facility: r.facilityId,
    kind: r.facilityKind,
    segments: r.segments,
    lengthM: rounded(r.sealedLengthM, 0),
    distressedM: rounded(r.distressedM, 0),
    maxDamaged: rounded(r.maxDamagedShare, 3),
    due: rounded(r.dueYear, 0),
    p: r.failedByYearEnd && probabilityText(r.failedByYearEnd),
    workByYear: r.workByYear && probabilityText(r.workByYear),
  });

function encodeLayer(name: string, features: TileFeature[]): Uint8Array {
  if (features.length === 0) return new Uint8Array();
  // The encoder reads `features` only; the other members of a sliced tile say how it was cut.
  const layer = { features } as unknown as Parameters<typeof fromGeojsonVt>[0][string];
  return fromGeojsonVt({ [name]: layer }, { version: 2, extent: TILE_EXTENT });
}
