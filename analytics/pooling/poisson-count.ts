import gammainc from '@stdlib/math-base-special-gammainc';

/** Chance of `count` or fewer where `expected` are expected. Counts may be sums of weights. */
export const poissonAtMost = (count: number, expected: number): number =>
  expected > 0 ? gammainc(expected, count + 1, true, true) : 1;

/** Chance of `count` or more. */
export const poissonAtLeast = (count: number, expected: number): number => {
  if (count <= 0) return 1;
  return expected > 0 ? gammainc(expected, count, true, false) : 0;
};

/** Two-sided chance of a count as far from what was expected: twice the smaller tail, at most 1. */
export const poissonTwoSided = (count: number, expected: number): number =>
  Math.min(1, 2 * Math.min(poissonAtMost(count, expected), poissonAtLeast(count, expected)));

/**
 * Exact interval for the number expected, from the number seen.
 * Source: Garwood (Biometrika 28, 1936).
 */
export function poissonInterval(count: number, level: number): { readonly lower: number; readonly upper: number } {
  const tail = (1 - level) / 2;
  return {
    lower: count <= 0 ? 0 : solve((mean) => poissonAtLeast(count, mean) - tail, count),
    upper: solve((mean) => tail - poissonAtMost(count, mean), count),
  };
}

/** Root of a rising function of the mean, by bisection. */
function solve(rising: (mean: number) => number, near: number): number {
  let low = 0;
  let high = near + 1;
  while (rising(high) < 0) high *= 2;
  for (let k = 0; k < 200 && high - low > 1e-13 * high; k++) {
    const middle = (low + high) / 2;
    if (rising(middle) < 0) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
