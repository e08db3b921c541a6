type Point = readonly [number, number];

/**
 * The parts of a line inside a square, by Liang and Barsky's parametric method (ACM TOG 3, 1984).
 * @param line positions in tile units
 * @returns zero or more lines; a line that leaves and comes back gives several
 */
export function clipLine(line: readonly Point[], low: number, high: number): Point[][] {
  const parts: Point[][] = [];
  let part: Point[] = [];
  for (let i = 1; i < line.length; i++) {
    const span = visibleSpan(line[i - 1], line[i], low, high);
    if (!span) continue;
    const [from, to] = span;
    if (from > 0 && part.length > 0) part = closed(parts, part);
    if (part.length === 0) part.push(between(line[i - 1], line[i], from));
    part.push(between(line[i - 1], line[i], to));
    if (to < 1) part = closed(parts, part);
  }
  closed(parts, part);
  return parts;
}

function closed(parts: Point[][], part: Point[]): Point[] {
  if (part.length > 1) parts.push(part);
  return [];
}

const between = (a: Point, b: Point, share: number): Point => [
  a[0] + (b[0] - a[0]) * share,
  a[1] + (b[1] - a[1]) * share,
];

/** Where the straight piece a-b enters and leaves the square, as shares of its length; null when outside. */
function visibleSpan(a: Point, b: Point, low: number, high: number): [number, number] | null {
  let from = 0;
  let to = 1;
  for (const axis of [0, 1] as const) {
    const step = b[axis] - a[axis];
    if (step === 0) {
      if (a[axis] < low || a[axis] > high) return null;
      continue;
    }
    const first = ((step > 0 ? low : high) - a[axis]) / step;
    const last = ((step > 0 ? high : low) - a[axis]) / step;
    from = Math.max(from, first);
    to = Math.min(to, last);
    if (from > to) return null;
  }
  return [from, to];
}
