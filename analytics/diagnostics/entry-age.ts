import type { AftData, AftFit, AftPrior } from '../survival/aft.ts';
import { standardMedian } from '../survival/covariate-prior.ts';
import { fitAft } from '../survival/fit-aft.ts';

/** Whether seals that came under observation young live as long as the fit to all of them says. */
export interface EntryAgeCheck {
  /** Entry ages up to this are the young half, years. */ readonly entryYears: number;
  readonly youngRows: number;
  readonly oldRows: number;
  readonly youngFailures: number;
  /** Median life by the young half over that by all rows, for the young half's average covariates; null: not estimable. */
  readonly lifeRatio: number | null;
  /** 80 % interval. */ readonly lower: number | null;
  readonly upper: number | null;
  /** True where a 95 % interval leaves out 1: who came under observation late was selected in a way that the fit misses. */
  readonly drift: boolean;
  /** Why there is no ratio, or null. */ readonly note: string | null;
}

const LEAST_FAILURES = 10;
const Z80 = 1.2815515655446004;
const Z95 = 1.959963984540054;

/**
 * Refits with the rows whose entry age is at most the median one. Its estimate is independent of the difference to the
 * fit of all rows where the model is right, so the variance of that difference is the difference of the variances.
 * Source: Hausman, Econometrica 46 (1978), 1251–1271.
 */
export function entryAgeCheck(data: AftData, fit: AftFit, prior: AftPrior | null): EntryAgeCheck {
  const entryYears = medianEntry(data);
  const young = [...data.entry.keys()].filter((i) => data.entry[i] <= entryYears);
  const oldRows = data.entry.length - young.length;
  const youngFailures = young.reduce((sum, i) => sum + (data.upper[i] < Infinity ? data.weight[i] : 0), 0);
  const counts = { entryYears, youngRows: young.length, oldRows, youngFailures };
  const without = (note: string): EntryAgeCheck => ({
    ...counts,
    lifeRatio: null,
    lower: null,
    upper: null,
    drift: false,
    note,
  });
  if (oldRows === 0) return without('All seals came under observation at the same age: there is nothing to compare.');
  if (youngFailures < LEAST_FAILURES)
    return without(
      `Only ${youngFailures} failures among seals that came under observation young; ${LEAST_FAILURES} are needed.`,
    );
  const part = rowsOf(data, young);
  const refit = fitAft(part, { family: fit.family, prior });
  if (!refit.converged || !fit.converged) return without('The fit to the young half has no maximum.');
  const row = averageRow(part);
  const { logLife, variance } = logMedian(refit, row);
  const all = logMedian(fit, row);
  const difference = logLife - all.logLife;
  const sd = Math.sqrt(Math.max(0, variance - all.variance));
  return {
    ...counts,
    lifeRatio: Math.exp(difference),
    lower: Math.exp(difference - Z80 * sd),
    upper: Math.exp(difference + Z80 * sd),
    drift: Math.abs(difference) > Z95 * sd,
    note: null,
  };
}

function medianEntry({ entry, weight }: AftData): number {
  const order = [...entry.keys()].sort((a, b) => entry[a] - entry[b]);
  const half = weight.reduce((sum, w) => sum + w, 0) / 2;
  let sum = 0;
  for (const i of order) {
    sum += weight[i];
    if (sum >= half) return entry[i];
  }
  return 0;
}

function rowsOf(data: AftData, rows: readonly number[]): AftData {
  const width = data.names.length;
  const pick = (from: Float64Array): Float64Array => Float64Array.from(rows, (i) => from[i]);
  const covariates = new Float64Array(rows.length * width);
  rows.forEach((i, k) => {
    covariates.set(data.covariates.subarray(i * width, (i + 1) * width), k * width);
  });
  return {
    ...data,
    entry: pick(data.entry),
    lower: pick(data.lower),
    upper: pick(data.upper),
    weight: pick(data.weight),
    covariates,
  };
}

/** Weighted mean of the covariates, with the intercept's 1 first where there is one. */
function averageRow({ covariates, names, weight, intercept }: AftData): number[] {
  const total = weight.reduce((sum, w) => sum + w, 0);
  const means = names.map(
    (_, j) => weight.reduce((sum, w, i) => sum + w * covariates[i * names.length + j], 0) / total,
  );
  return intercept ? [1, ...means] : means;
}

/** Log of the median life at a row, with its variance by the delta method. */
function logMedian(fit: AftFit, row: readonly number[]): { logLife: number; variance: number } {
  const perScale = standardMedian(fit.family);
  const logLife = row.reduce((sum, x, j) => sum + x * fit.coefficients[j], 0) + fit.scale * perScale;
  if (!fit.covariance) return { logLife, variance: 0 };
  const size = Math.round(Math.sqrt(fit.covariance.length));
  const gradient = [...row, fit.scale * perScale].slice(0, size);
  let variance = 0;
  for (let j = 0; j < size; j++)
    for (let k = 0; k < size; k++) variance += gradient[j] * gradient[k] * fit.covariance[j * size + k];
  return { logLife, variance };
}
