import { seededRandom } from '../../../../analytics/numeric/seeded-normals.ts';
import type { AftData } from '../../../../analytics/survival/aft.ts';

export const TRUE_ROWS = { intercept: Math.log(12), slope: -0.3, sigma: 0.4 };

export interface RowOptions {
  readonly rows: number;
  readonly seed: number;
  /** Lives of seals that came under observation at age 4 are this many times as long. */ readonly lateTimes?: number;
  /** A curved effect that a straight line cannot follow. */ readonly bend?: number;
}

/**
 * Weibull lives with one covariate, looked at every two years from entry to an age of its own. A third came under
 * observation at age 4; of those only the ones sound then are seen.
 */
export function weibullRows({ rows, seed, lateTimes = 1, bend = 0 }: RowOptions): AftData {
  const { uniform, normal } = seededRandom(seed);
  const entry: number[] = [];
  const lower: number[] = [];
  const upper: number[] = [];
  const values: number[] = [];
  while (lower.length < rows) {
    const x = normal();
    const entryYears = uniform() < 1 / 3 ? 4 : 0;
    const { intercept, slope, sigma } = TRUE_ROWS;
    const times = entryYears > 0 ? lateTimes : 1;
    const life = times * Math.exp(intercept + slope * x + bend * (x * x - 1)) * (-Math.log(1 - uniform())) ** sigma;
    const lastLook = entryYears + 2 * Math.ceil(8 * uniform());
    if (life <= entryYears) continue;
    const look = entryYears + 2 * Math.ceil((life - entryYears) / 2);
    entry.push(entryYears);
    lower.push(Math.min(look - 2, lastLook));
    upper.push(look <= lastLook ? look : Infinity);
    values.push(x);
  }
  return {
    entry: Float64Array.from(entry),
    lower: Float64Array.from(lower),
    upper: Float64Array.from(upper),
    weight: new Float64Array(rows).fill(1),
    covariates: Float64Array.from(values),
    names: ['x'],
    intercept: true,
  };
}
