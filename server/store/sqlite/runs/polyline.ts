/** A path as x, y, x, y ... in one plane; here pixels of a level. */
export type Path = number[];

export const distance = (ax: number, ay: number, bx: number, by: number): number => Math.hypot(bx - ax, by - ay);

export function pathLength(path: Path): number {
  let length = 0;
  for (let i = 2; i < path.length; i += 2) length += distance(path[i - 2], path[i - 1], path[i], path[i + 1]);
  return length;
}

export function reversed(path: Path): Path {
  const back: Path = [];
  for (let i = path.length - 2; i >= 0; i -= 2) back.push(path[i], path[i + 1]);
  return back;
}

function distanceToSegment(x: number, y: number, [ax, ay, bx, by]: [number, number, number, number]): number {
  const [dx, dy] = [bx - ax, by - ay];
  const square = dx * dx + dy * dy;
  const share = square === 0 ? 0 : Math.min(1, Math.max(0, ((x - ax) * dx + (y - ay) * dy) / square));
  return distance(x, y, ax + share * dx, ay + share * dy);
}

/** Shortest distance from a point to any of the paths; Infinity when there is none. */
export function distanceToPaths(x: number, y: number, paths: readonly Path[]): number {
  let least = Infinity;
  for (const path of paths) {
    for (let i = 2; i < path.length; i += 2) {
      const d = distanceToSegment(x, y, [path[i - 2], path[i - 1], path[i], path[i + 1]]);
      if (d < least) least = d;
    }
  }
  return least;
}

/** The part of a path after a share 0-1 of its length. */
export function afterShare(path: Path, share: number): Path {
  let left = share * pathLength(path);
  for (let i = 2; i < path.length; i += 2) {
    const step = distance(path[i - 2], path[i - 1], path[i], path[i + 1]);
    if (step > left) {
      const t = left / step;
      const x = path[i - 2] + t * (path[i] - path[i - 2]);
      const y = path[i - 1] + t * (path[i + 1] - path[i - 1]);
      return [x, y, ...path.slice(i)];
    }
    left -= step;
  }
  return path.slice(-2);
}

/**
 * Leaves out points that lie within `tolerance` of the line without them; both ends stay.
 * Source: Douglas and Peucker 1973, Cartographica 10(2):112-122.
 */
export function simplified(path: Path, tolerance: number): Path {
  const points = path.length / 2;
  const kept = new Uint8Array(points);
  kept[0] = 1;
  kept[points - 1] = 1;
  const spans: [number, number][] = [[0, points - 1]];
  for (let span = spans.pop(); span; span = spans.pop()) {
    const [from, to] = span;
    const chord: [number, number, number, number] = [
      path[2 * from],
      path[2 * from + 1],
      path[2 * to],
      path[2 * to + 1],
    ];
    let [farthest, at] = [tolerance, -1];
    for (let i = from + 1; i < to; i++) {
      const d = distanceToSegment(path[2 * i], path[2 * i + 1], chord);
      if (d > farthest) [farthest, at] = [d, i];
    }
    if (at < 0) continue;
    kept[at] = 1;
    spans.push([from, at], [at, to]);
  }
  const out: Path = [];
  for (let i = 0; i < points; i++) if (kept[i]) out.push(path[2 * i], path[2 * i + 1]);
  return out;
}
