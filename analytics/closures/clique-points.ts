export interface Interval {
  readonly startMinute: number;
  readonly endMinute: number;
}

/**
 * Fewest times such that intervals overlap exactly when they hold a time in common: the last start before each end.
 * Intervals are closed at the start, open at the end. Ascending.
 */
export function cliquePoints(intervals: Iterable<Interval>): Float64Array {
  const starts: number[] = [];
  const ends: number[] = [];
  for (const { startMinute, endMinute } of intervals) {
    starts.push(startMinute);
    ends.push(endMinute);
  }
  const byStart = Float64Array.from(starts).sort();
  const byEnd = Float64Array.from(ends).sort();
  const points: number[] = [];
  let end = 0;
  for (let i = 0; i < byStart.length; i++) {
    const next = i + 1 < byStart.length ? byStart[i + 1] : Number.POSITIVE_INFINITY;
    // An end at or before the next start, but after this one, closes the clique that this start completes.
    while (end < byEnd.length && byEnd[end] <= byStart[i]) end++;
    if (next > byStart[i] && end < byEnd.length && byEnd[end] <= next) points.push(byStart[i]);
  }
  return Float64Array.from(points);
}

/** Index range of the points that lie in an interval. */
export function pointsWithin(points: Float64Array, { startMinute, endMinute }: Interval): readonly [number, number] {
  return [firstAtOrAfter(points, startMinute), firstAtOrAfter(points, endMinute)];
}

function firstAtOrAfter(points: Float64Array, minute: number): number {
  let [low, high] = [0, points.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (points[middle] < minute) low = middle + 1;
    else high = middle;
  }
  return low;
}
