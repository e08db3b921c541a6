import { afterShare, distance, distanceToPaths, type Path, pathLength, reversed, simplified } from './polyline.ts';

/** One segment to be drawn in a run; lengths, places and measures in pixels of the level. */
export interface Piece {
  row: number;
  /** Measure along the facility, or place along the run's longer side. */ begin: number;
  end: number;
  path: Path;
}

/** Measures or ends closer than this join into one line. */
const JOIN_PX = 3;
/** Steps in measure below this are not worth a piece of line. */
const STEP_PX = 1;
/** A segment farther than this from all that is drawn gets a line of its own (the other arm of a loop, an apron). */
const NEAR_PX = 8;
const MAX_PASSES = 6;
const SIMPLIFY_PX = 1;
const SHORTEST_PX = 2;

/** Fewest pieces whose measures cover what all cover, in order: parallel joints are drawn once. */
function covering(pieces: readonly Piece[]): Piece[] {
  const chosen: Piece[] = [];
  let covered = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < pieces.length; ) {
    const reach = Math.max(covered, pieces[i].begin) + STEP_PX;
    let best = pieces[i];
    for (; i < pieces.length && pieces[i].begin <= reach; i++) {
      const longer = pieces[i].end - best.end;
      if (longer > STEP_PX || (longer > -STEP_PX && pathLength(pieces[i].path) > pathLength(best.path))) {
        best = pieces[i];
      }
    }
    if (best.end > covered || chosen.length === 0) {
      chosen.push(best);
      covered = best.end;
    }
  }
  return chosen;
}

const middleOf = (path: Path): [number, number] => {
  const i = 2 * Math.floor(path.length / 4);
  return [path[i], path[i + 1]];
};

/** Turns a path so that it starts at the side of `from`, or ends at the side of `to`. */
function turned(path: Path, from: Path | null, to: Path | null): Path {
  const other = from ?? to;
  if (!other) return path;
  const [x, y] = middleOf(other);
  const toStart = distance(x, y, path[0], path[1]);
  const toEnd = distance(x, y, path[path.length - 2], path[path.length - 1]);
  return toStart <= toEnd === (from !== null) ? path : reversed(path);
}

/** Joins the chosen pieces end to end; a real gap starts a new line. */
function joined(chosen: readonly Piece[]): Path[] {
  const lines: Path[] = [];
  let covered = Number.NEGATIVE_INFINITY;
  for (const [i, piece] of chosen.entries()) {
    let path = turned(piece.path, chosen[i - 1]?.path ?? null, chosen[i + 1]?.path ?? null);
    const span = piece.end - piece.begin;
    if (span > 0 && piece.begin < covered) path = afterShare(path, (covered - piece.begin) / span);
    const line = lines.at(-1);
    const near = line && distance(line[line.length - 2], line[line.length - 1], path[0], path[1]) <= JOIN_PX;
    if (line && near) line.push(...path);
    else lines.push([...path]);
    covered = Math.max(covered, piece.end);
  }
  return lines;
}

/** A line too short to be seen is stretched about its middle. */
function drawable(line: Path): Path {
  const thin = simplified(line, SIMPLIFY_PX);
  if (thin.length > 4 || pathLength(thin) >= SHORTEST_PX) return thin;
  const [ax, ay] = thin;
  const [bx, by] = thin.slice(-2);
  const length = distance(ax, ay, bx, by);
  const [ux, uy] = length === 0 ? [1, 0] : [(bx - ax) / length, (by - ay) / length];
  const [mx, my] = [(ax + bx) / 2, (ay + by) / 2];
  const half = SHORTEST_PX / 2;
  return [mx - half * ux, my - half * uy, mx + half * ux, my + half * uy];
}

const isFar = ({ path }: Piece, lines: readonly Path[]): boolean => {
  const [mx, my] = middleOf(path);
  const ends = [path[0], path[1], mx, my, path[path.length - 2], path[path.length - 1]];
  for (let i = 0; i < ends.length; i += 2) if (distanceToPaths(ends[i], ends[i + 1], lines) > NEAR_PX) return true;
  return false;
};

/**
 * One line, or a few where there are real gaps or branches, that follows the pieces once.
 * @param before end of the run before, joined to when it is near, so that no gap shows between runs
 */
export function drawRun(pieces: readonly Piece[], before: readonly number[] | null): Path[] {
  const sorted = [...pieces].sort((a, b) => a.begin - b.begin || b.end - a.end || a.row - b.row);
  let lines: Path[] = [];
  let left = sorted;
  for (let pass = 0; left.length > 0 && pass < MAX_PASSES; pass++) {
    lines = lines.concat(joined(covering(left)).map(drawable));
    left = left.filter((piece) => isFar(piece, lines));
  }
  const first = lines[0];
  if (before && distance(before[0], before[1], first[0], first[1]) <= JOIN_PX) first.unshift(...before);
  return lines;
}
