import { type SeededRandom, seededRandom } from '../../../../analytics/numeric/seeded-normals.ts';
import type { AftData, AftFit, Family } from '../../../../analytics/survival/aft.ts';
import { fitAft } from '../../../../analytics/survival/fit-aft.ts';

/** The truth behind the simulated lives: an intercept, a switch, a standard normal covariate; sigma. Ages in years. */
const TRUTH = { coefficients: [2.4, 0.3, -0.15], sigma: 0.4 } as const;
const NAMES = ['intercept', 'switch', 'covariate', 'log sigma'] as const;
const VALUES = [...TRUTH.coefficients, Math.log(TRUTH.sigma)] as const;
const LARGEST_ENTRY_YEARS = 10;
const NORMAL_95 = 1.959964;

export const RECOVERED_FAMILIES = ['weibull', 'lognormal', 'loglogistic'] as const satisfies readonly Family[];

function standardLife(family: Family, random: SeededRandom): number {
  if (family === 'lognormal') return random.normal();
  const u = 1 - random.uniform();
  return family === 'loglogistic' ? Math.log(u) - Math.log1p(-u) : Math.log(-Math.log(u));
}

/**
 * Seals looked at one to six times, one to three years apart: bounds on each life, none known exactly. Half of them came
 * under observation at an age of up to ten years, and those that had failed by then are not on record.
 */
export function simulateLives(family: Family, seals: number, seed: number): AftData {
  const random = seededRandom(seed);
  const rows = { entry: [] as number[], lower: [] as number[], upper: [] as number[], covariates: [] as number[] };
  while (rows.lower.length < seals) {
    const x = [random.uniform() < 0.5 ? 1 : 0, random.normal()];
    const [intercept, ...slopes] = TRUTH.coefficients;
    const mean = slopes.reduce<number>((sum, slope, j) => sum + slope * x[j], intercept);
    const life = Math.exp(mean + TRUTH.sigma * standardLife(family, random));
    const entry = random.uniform() < 0.5 ? LARGEST_ENTRY_YEARS * random.uniform() : 0;
    const looks = 1 + Math.floor(6 * random.uniform());
    let age = entry;
    let [lower, upper] = [entry, Number.POSITIVE_INFINITY];
    for (let look = 0; look < looks && upper === Number.POSITIVE_INFINITY; look++) {
      age += 1 + 2 * random.uniform();
      if (life > age) lower = age;
      else upper = age;
    }
    if (life <= entry) continue;
    rows.entry.push(entry);
    rows.lower.push(lower);
    rows.upper.push(upper);
    rows.covariates.push(...x);
  }
  return {
    entry: Float64Array.from(rows.entry),
    lower: Float64Array.from(rows.lower),
    upper: Float64Array.from(rows.upper),
    weight: new Float64Array(seals).fill(1),
    covariates: Float64Array.from(rows.covariates),
    names: ['switch', 'covariate'],
    intercept: true,
  };
}

/** What plain maximum likelihood makes of one parameter over all data sets. */
export interface Recovered {
  readonly family: Family;
  readonly name: string;
  readonly truth: number;
  /** Mean error over its own Monte Carlo standard error. */ readonly bias: number;
  readonly meanError: number;
  /** 95 % intervals that hold the truth, of `sets`. */ readonly held: number;
  readonly sets: number;
}

/**
 * Fits seeded data sets of known truth.
 * @param altered what a wrong analysis would do with the records, to see that it is found out
 */
export function recoverLives(
  family: Family,
  { sets, seals }: { readonly sets: number; readonly seals: number },
  altered: (data: AftData) => AftData = (data) => data,
): Recovered[] {
  const errors: number[][] = VALUES.map(() => []);
  const held = VALUES.map(() => 0);
  for (let seed = 1; seed <= sets; seed++) {
    const fit = fitAft(altered(simulateLives(family, seals, seed)), { family, prior: null });
    for (const [j, { error, sd }] of errorsOf(fit, seed).entries()) {
      errors[j].push(error);
      if (Math.abs(error) < NORMAL_95 * sd) held[j]++;
    }
  }
  return VALUES.map((truth, j) => ({
    family,
    name: NAMES[j],
    truth,
    ...meanOf(errors[j]),
    held: held[j],
    sets,
  }));
}

function errorsOf({ converged, covariance, coefficients, scale, status }: AftFit, seed: number) {
  if (!converged || !covariance) throw new Error(`Data set ${seed} was not fitted: ${status}`);
  const found = [...coefficients, Math.log(scale)];
  return VALUES.map((truth, j) => ({
    error: found[j] - truth,
    sd: Math.sqrt(covariance[j * VALUES.length + j]),
  }));
}

function meanOf(errors: readonly number[]): { meanError: number; bias: number } {
  const n = errors.length;
  const meanError = errors.reduce((a, b) => a + b, 0) / n;
  const variance = errors.reduce((sum, error) => sum + (error - meanError) ** 2, 0) / (n - 1);
  return { meanError, bias: meanError / Math.sqrt(variance / n) };
}

/** Share of all their 95 % intervals that hold the truth. */
export const sharedHeld = (some: readonly Recovered[]): number =>
  some.reduce((sum, { held }) => sum + held, 0) / some.reduce((sum, { sets }) => sum + sets, 0);
