import type { Piece } from './draw-run.ts';
import { EQUATOR_M, worldPx } from './levels.ts';
import { distance, type Path } from './polyline.ts';

/** A segment as read for runs: its lines in the mercator world of 1 x 1. */
export interface RunSegment {
  row: number;
  beginM: number | null;
  endM: number | null;
  parts: Float64Array[];
  /** [west, north, east, south] in the world of 1 x 1. */ box: [number, number, number, number];
  lat: number;
}

/** The segments of one run, before it is drawn. `following`: the run continues the one before. */
export interface RunPieces {
  pieces: Piece[];
  following: boolean;
}

/** Runs aim at this length; those of a facility are then of equal length, 24 to 54 px. */
const RUN_PX = 36;
/** A part shorter than this (one joint across the lanes) is only a point of the line along the facility. */
const POINT_PX = 1.5;

/** One path along a segment: its line, or for many joints across the lanes a line through their middles. */
function pathOf({ parts }: RunSegment, scale: number): Path {
  const path: Path = [];
  if (parts.length === 1) {
    for (const v of parts[0]) path.push(v * scale);
    return path;
  }
  for (const part of parts) {
    const [ax, ay] = [part[0] * scale, part[1] * scale];
    const [bx, by] = [part[part.length - 2] * scale, part[part.length - 1] * scale];
    if (distance(ax, ay, bx, by) < POINT_PX) path.push((ax + bx) / 2, (ay + by) / 2);
    else for (const v of part) path.push(v * scale);
  }
  if (path.length === 2) path.push(path[0], path[1]);
  return path;
}

const binOf = (value: number, { from, span, bins }: { from: number; span: number; bins: number }): number =>
  span <= 0 ? 0 : Math.min(bins - 1, Math.floor(((value - from) / span) * bins));

const binCount = (spanPx: number): number => Math.max(1, Math.round(spanPx / RUN_PX));

function grouped<T>(items: readonly T[], keyOf: (item: T) => number): T[][] {
  const groups = new Map<number, T[]>();
  for (const item of items) {
    const key = keyOf(item);
    const group = groups.get(key);
    if (group) group.push(item);
    else groups.set(key, [item]);
  }
  return [...groups].sort(([a], [b]) => a - b).map(([, group]) => group);
}

type Measured = RunSegment & { beginM: number; endM: number };

function splitByMeasure(segments: readonly Measured[], level: number): RunPieces[] {
  if (segments.length === 0) return [];
  const from = segments.reduce((least, s) => Math.min(least, s.beginM), Infinity);
  const to = segments.reduce((most, s) => Math.max(most, s.endM), Number.NEGATIVE_INFINITY);
  const scale = worldPx(level);
  const pxPerM = scale / (EQUATOR_M * Math.cos((segments[0].lat * Math.PI) / 180));
  const range = { from, span: to - from, bins: binCount((to - from) * pxPerM) };
  return grouped(segments, (s) => binOf((s.beginM + s.endM) / 2, range)).map((group) => ({
    pieces: group.map((s) => ({
      row: s.row,
      begin: s.beginM * pxPerM,
      end: s.endM * pxPerM,
      path: pathOf(s, scale),
    })),
    following: true,
  }));
}

/** Without measures: cells of a grid over the facility, and in each the order along its longer side. */
function splitByPlace(segments: readonly RunSegment[], level: number): RunPieces[] {
  if (segments.length === 0) return [];
  const scale = worldPx(level);
  const low = [0, 1].map((k) => segments.reduce((least, s) => Math.min(least, s.box[k]), Infinity));
  const high = [2, 3].map((k) => segments.reduce((most, s) => Math.max(most, s.box[k]), Number.NEGATIVE_INFINITY));
  const range = [0, 1].map((k) => ({
    from: low[k],
    span: high[k] - low[k],
    bins: binCount((high[k] - low[k]) * scale),
  }));
  const cellOf = ({ box }: RunSegment): number =>
    binOf((box[1] + box[3]) / 2, range[1]) * range[0].bins + binOf((box[0] + box[2]) / 2, range[0]);
  return grouped(segments, cellOf).map((group) => {
    const spread = [0, 1].map((k) => {
      const lowest = group.reduce((least, s) => Math.min(least, s.box[k]), Infinity);
      return group.reduce((most, s) => Math.max(most, s.box[k + 2]), Number.NEGATIVE_INFINITY) - lowest;
    });
    const k = spread[0] >= spread[1] ? 0 : 1;
    const pieces = group.map((s) => ({
      row: s.row,
      begin: s.box[k] * scale,
      end: s.box[k + 2] * scale,
      path: pathOf(s, scale),
    }));
    return { pieces, following: false };
  });
}

/** Cuts the segments of one facility into runs for a level; every segment is in exactly one. */
export function splitFacility(segments: readonly RunSegment[], level: number): RunPieces[] {
  const measured: Measured[] = [];
  const others: RunSegment[] = [];
  for (const segment of segments) {
    const known = segment.beginM ?? segment.endM;
    if (known === null) others.push(segment);
    else {
      const ends = [segment.beginM ?? known, segment.endM ?? known];
      measured.push({ ...segment, beginM: Math.min(...ends), endM: Math.max(...ends) });
    }
  }
  return [...splitByMeasure(measured, level), ...splitByPlace(others, level)];
}
