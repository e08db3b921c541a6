/** Ages at failure in (lower, upper], or exactly upper where both are equal, given survival to entry. */
export interface IntervalRows {
  readonly entry: Float64Array;
  readonly lower: Float64Array;
  /** Infinity while sound. */ readonly upper: Float64Array;
  readonly weight: Float64Array;
}

/** The likelihood in terms of the masses of the support intervals. */
export interface MassProblem {
  /** Support interval j is (from[j], to[j]], or the single age where both are equal. */
  readonly from: Float64Array;
  readonly to: Float64Array;
  /** Row i covers the support intervals first[i] to last[i], both included. */
  readonly first: Int32Array;
  readonly last: Int32Array;
  /** Row i was sound before support interval start[i]: it could not have been seen failing earlier. */
  readonly start: Int32Array;
  readonly weight: Float64Array;
}

/** Order of the ends at one age: a closed left end (exact), then right ends, then open left ends. */
const CLOSED_LEFT = 0;
const RIGHT_END = 1;
const OPEN_LEFT = 2;

/**
 * Finds the only places where a non-parametric estimate can put mass: a left end followed at once by a right end.
 * Entry ages count as right ends: mass moved below one leaves the risk set of those who entered there.
 * Sources: Turnbull (J. R. Statist. Soc. B 38, 1976); Frydman (J. R. Statist. Soc. B 56, 1994) for delayed entry.
 */
export function innermostIntervals({ entry, lower, upper, weight }: IntervalRows): MassProblem {
  const ages = Float64Array.from(new Set([...entry, ...lower, ...upper])).sort();
  const rank = new Map<number, number>();
  ages.forEach((age, k) => {
    rank.set(age, k);
  });
  const place = (age: number, end: number): number => 3 * (rank.get(age) ?? 0) + end;
  const isExact = (i: number): boolean => lower[i] === upper[i];

  const used = new Uint8Array(3 * ages.length);
  for (let i = 0; i < lower.length; i++) {
    used[isExact(i) ? place(upper[i], CLOSED_LEFT) : place(lower[i], OPEN_LEFT)] = 1;
    used[place(upper[i], RIGHT_END)] = 1;
    if (entry[i] > 0) used[place(entry[i], RIGHT_END)] = 1;
  }
  const lefts: number[] = [];
  const rights: number[] = [];
  let pending = -1;
  for (let k = 0; k < used.length; k++) {
    if (!used[k]) continue;
    if (k % 3 !== RIGHT_END) pending = k;
    else if (pending >= 0) {
      lefts.push(pending);
      rights.push(k);
      pending = -1;
    }
  }
  const first = Int32Array.from(lower, (age, i) =>
    countBelow(lefts, isExact(i) ? place(upper[i], CLOSED_LEFT) : place(age, OPEN_LEFT)),
  );
  const last = Int32Array.from(upper, (age) => countBelow(rights, place(age, RIGHT_END) + 1) - 1);
  const start = Int32Array.from(entry, (age, i) =>
    age > 0 ? Math.min(first[i], countBelow(lefts, place(age, OPEN_LEFT))) : 0,
  );
  return {
    from: Float64Array.from(lefts, (k) => ages[Math.floor(k / 3)]),
    to: Float64Array.from(rights, (k) => ages[Math.floor(k / 3)]),
    first,
    last,
    start,
    weight,
  };
}

/** How many of the rising `places` are below `limit`. */
function countBelow(places: readonly number[], limit: number): number {
  let low = 0;
  let high = places.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (places[middle] < limit) low = middle + 1;
    else high = middle;
  }
  return low;
}
