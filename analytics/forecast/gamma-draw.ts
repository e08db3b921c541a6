import type { SeededRandom } from '../numeric/seeded-normals.ts';

/**
 * A gamma variable with a given mean and variance: chance variation of a length, which cannot be negative.
 * With a variance of 0 it is the mean. Method: Marsaglia and Tsang, ACM Trans. Math. Softw. 26 (2000); shapes under 1 are
 * drawn one higher and multiplied by U^(1/shape).
 */
export function gammaDraw(mean: number, variance: number, random: SeededRandom): number {
  if (!(mean > 0)) return 0;
  if (!(variance > 0)) return mean;
  const shape = (mean * mean) / variance;
  const scale = variance / mean;
  if (shape >= 1) return scale * standardGamma(shape, random);
  return scale * standardGamma(shape + 1, random) * random.uniform() ** (1 / shape);
}

function standardGamma(shape: number, { normal, uniform }: SeededRandom): number {
  const d = shape - 1 / 3;
  const c = 1 / Math.sqrt(9 * d);
  for (;;) {
    const x = normal();
    const v = (1 + c * x) ** 3;
    if (v > 0 && Math.log(1 - uniform()) < 0.5 * x * x + d - d * v + d * Math.log(v)) return d * v;
  }
}
