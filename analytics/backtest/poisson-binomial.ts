import erfc from '@stdlib/math-base-special-erfc';

/** A whole-number count: chance that it is at most k. */
export interface CountDistribution {
  readonly mean: number;
  readonly variance: number;
  /** Chance of k or fewer; 0 below 0. */ readonly atMost: (k: number) => number;
  /** Largest count that can be. */ readonly most: number;
}

/** With more looks than this the normal with its skewness corrected takes over: the exact form costs their square. */
export const MOST_FOR_EXACT = 3000;

/**
 * Number of failures among independent looks of unequal chances (Poisson-binomial), each counted `times[i]` times.
 * Exact, by adding one look after the other, up to `MOST_FOR_EXACT` looks; beyond that a normal approximation with
 * continuity and skewness corrections, whose error is far below a thousandth at that size.
 * Source: Hong, Computational Statistics & Data Analysis 59 (2013), 41–51, for both.
 */
export function poissonBinomial(chances: Float64Array, times?: Int32Array): CountDistribution {
  let [mean, variance, third, most] = [0, 0, 0, 0];
  for (let i = 0; i < chances.length; i++) {
    const p = chances[i];
    const m = times ? times[i] : 1;
    const spread = p * (1 - p);
    mean += m * p;
    variance += m * m * spread;
    third += m ** 3 * spread * (1 - 2 * p);
    most += m;
  }
  if (chances.length > MOST_FOR_EXACT) {
    const skewness = variance > 0 ? third / variance ** 1.5 : 0;
    return { mean, variance, most, atMost: (k) => correctedNormal(k, mean, variance, skewness) };
  }
  const sums = poissonBinomialChances(chances, times);
  for (let k = 1; k < sums.length; k++) sums[k] += sums[k - 1];
  return { mean, variance, most, atMost: (k) => (k < 0 ? 0 : Math.min(1, sums[Math.min(most, Math.floor(k))])) };
}

/** Chance of exactly 0, 1, 2, ... failures. */
export function poissonBinomialChances(chances: Float64Array, times?: Int32Array): Float64Array {
  const most = times ? times.reduce((sum, m) => sum + m, 0) : chances.length;
  const out = new Float64Array(most + 1);
  out[0] = 1;
  let reach = 0;
  for (let i = 0; i < chances.length; i++) {
    const p = chances[i];
    const m = times ? times[i] : 1;
    reach += m;
    for (let k = reach; k >= m; k--) out[k] = out[k] * (1 - p) + out[k - m] * p;
    for (let k = m - 1; k >= 0; k--) out[k] *= 1 - p;
  }
  return out;
}

/** Steps that one exact tail may take; with more, the corrected normal is used. */
const STEPS_FOR_TAIL = 2e5;

/** Chance of k or fewer failures alone, in time looks x k: for searches that need one tail many times. */
export function chanceOfAtMost(chances: Float64Array, k: number): number {
  const n = chances.length;
  if (k < 0) return 0;
  if (k >= n) return 1;
  if (k > n / 2)
    return (
      1 -
      chanceOfAtMost(
        chances.map((p) => 1 - p),
        n - k - 1,
      )
    );
  if (n * (k + 1) > STEPS_FOR_TAIL) {
    const moments = { mean: 0, variance: 0, third: 0 };
    for (const p of chances) {
      moments.mean += p;
      moments.variance += p * (1 - p);
      moments.third += p * (1 - p) * (1 - 2 * p);
    }
    const { mean, variance, third } = moments;
    return correctedNormal(k, mean, variance, variance > 0 ? third / variance ** 1.5 : 0);
  }
  const out = new Float64Array(k + 1);
  out[0] = 1;
  for (const p of chances) {
    for (let j = k; j > 0; j--) out[j] += (out[j - 1] - out[j]) * p;
    out[0] *= 1 - p;
  }
  return Math.min(
    1,
    out.reduce((sum, value) => sum + value, 0),
  );
}

/** Above this variance a binomial is as good as its corrected normal. */
const LARGE_VARIANCE = 100;

/**
 * A count of which only mean and variance are known: the binomial with both, or the corrected normal where it is large or
 * spreads more than a sum of independent looks can.
 */
export function matchedCount(mean: number, variance: number, most: number): CountDistribution {
  const failing = 1 - variance / mean;
  if (!(mean > 0)) return { mean: 0, variance: 0, most, atMost: (k) => (k < 0 ? 0 : 1) };
  if (variance >= LARGE_VARIANCE || !(failing > 1e-9)) {
    const skewness = variance > 0 ? (1 - 2 * Math.max(0, failing)) / Math.sqrt(variance) : 0;
    return { mean, variance, most, atMost: (k) => (k >= most ? 1 : correctedNormal(k, mean, variance, skewness)) };
  }
  const looks = Math.max(1, Math.round(mean / failing));
  const p = Math.min(1, mean / looks);
  return { mean, variance, most, atMost: (k) => binomialAtMost(Math.floor(k), looks, p) };
}

function binomialAtMost(k: number, looks: number, p: number): number {
  if (k < 0) return 0;
  if (k >= looks || p <= 0) return 1;
  if (p >= 1) return 0;
  let term = Math.exp(looks * Math.log1p(-p));
  let sum = term;
  for (let j = 1; j <= k; j++) {
    term *= ((looks - j + 1) / j) * (p / (1 - p));
    sum += term;
  }
  return Math.min(1, sum);
}

/** Mean of several distributions of one count: the predictive distribution over draws. */
export function mixture(parts: readonly CountDistribution[]): CountDistribution {
  const mean = parts.reduce((sum, part) => sum + part.mean, 0) / parts.length;
  const square = parts.reduce((sum, part) => sum + part.variance + (part.mean - mean) ** 2, 0) / parts.length;
  const most = parts.reduce((largest, part) => Math.max(largest, part.most), 0);
  const atMost = (k: number): number => parts.reduce((sum, part) => sum + part.atMost(k), 0) / parts.length;
  return { mean, variance: square, most, atMost };
}

/** Smallest and largest count that leave at most (1 - level) / 2 beyond them on either side. */
export function countInterval(count: CountDistribution, level: number): { lower: number; upper: number } {
  const tail = (1 - level) / 2;
  // The slack is for rounding: a chance that is a tail exactly belongs to it.
  return { lower: smallestWith(count, tail + 1e-12), upper: smallestWith(count, 1 - tail - 1e-12) };
}

/** Smallest k whose chance of k or fewer reaches a level. */
function smallestWith({ atMost, most }: CountDistribution, level: number): number {
  let [low, high] = [0, Math.ceil(most)];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (atMost(middle) >= level) high = middle;
    else low = middle + 1;
  }
  return low;
}

function correctedNormal(k: number, mean: number, variance: number, skewness: number): number {
  if (k < 0) return 0;
  if (!(variance > 0)) return Math.floor(k) + 0.5 >= mean ? 1 : 0;
  const z = (Math.floor(k) + 0.5 - mean) / Math.sqrt(variance);
  const density = Math.exp(-0.5 * z * z) / Math.sqrt(2 * Math.PI);
  const value = 0.5 * erfc(-z * Math.SQRT1_2) + (skewness * (1 - z * z) * density) / 6;
  return Math.min(1, Math.max(0, value));
}
