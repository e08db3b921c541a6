import type { Family, PosteriorDraws } from '../survival/aft.ts';
import { conditionalSurvivalInto } from './conditional-kernel.ts';
import { newSealEffects, newSealSpread, type SharedEffects } from './shared-effects.ts';
import { survivalTable } from './standard-life.ts';

/** Chance that a new seal has failed by each whole age, averaged over draws, for groups of like segments. */
export interface NewLives {
  /** Each segment's curve. */ readonly curve: Int32Array;
  /** Row-major, curves x (oldestAge + 1). */ readonly failedByAge: Float64Array;
  readonly oldestAge: number;
  /** Row-major, curves x coefficients: the covariates that each curve was made from. */ readonly rows: Float64Array;
  /** Row-major, curves x draws: effects of place and lot that each was made with; null where there are none. */
  readonly effects?: Float64Array | null;
}

/** Segments share a curve when mean and SD of their log life agree this closely: 2 % of life. */
const MEAN_STEP = 0.02;
const SD_STEP = 0.05;
/** A log life whose SD is beyond this many steps is unknown in any case. */
const MOST_SD_STEPS = 1000;

/**
 * Life after resealing like with like, for every segment of a network. The curve of the first segment of a group stands for
 * all of it, so 100,000 segments need a few hundred curves.
 * `covariates`: row-major, count x coefficients, as in the fit. `shared`: a new seal keeps the effects of its place, and is of
 * a lot not known yet.
 */
export function newLives(
  covariates: Float64Array,
  draws: PosteriorDraws,
  family: Family,
  oldestAge = 60,
  shared: SharedEffects | null = null,
): NewLives {
  const width = draws.coefficients.length / draws.draws;
  const count = covariates.length / width;
  const spread = coefficientSpread(draws, width);
  const curve = new Int32Array(count);
  const groups = new Map<number, number>();
  const rows: Float64Array[] = [];
  const effects: Float64Array[] = [];
  for (let i = 0; i < count; i++) {
    const row = covariates.subarray(i * width, (i + 1) * width);
    const { mean, sd } = logLifeOf(row, spread, shared && newSealSpread(shared, i, draws.draws));
    const key = Math.round(mean / MEAN_STEP) * MOST_SD_STEPS + Math.min(MOST_SD_STEPS - 1, Math.round(sd / SD_STEP));
    let group = groups.get(key);
    if (group === undefined) {
      group = rows.push(row) - 1;
      if (shared) effects.push(newSealEffects(shared, i, draws.draws));
      groups.set(key, group);
    }
    curve[i] = group;
  }
  const out = { curve, failedByAge: new Float64Array(rows.length * (oldestAge + 1)), oldestAge };
  const table = new Float64Array(draws.draws * (oldestAge + 1));
  rows.forEach((row, c) => {
    failedByDrawInto(table, row, draws, family, { oldestAge, effects: effects[c] ?? null });
    const mean = out.failedByAge.subarray(c * (oldestAge + 1), (c + 1) * (oldestAge + 1));
    for (let at = 0; at < table.length; at++) mean[at % mean.length] += table[at] / draws.draws;
  });
  return { ...out, rows: joined(rows, width), effects: shared && joined(effects, draws.draws) };
}

function joined(rows: readonly Float64Array[], width: number): Float64Array {
  const all = new Float64Array(rows.length * width);
  rows.forEach((row, at) => {
    all.set(row, at * width);
  });
  return all;
}

interface CoefficientSpread {
  readonly means: Float64Array;
  /** Row-major, width x width. */ readonly covariance: Float64Array;
}

/** Mean and covariance of the coefficients over the draws: with them a row costs its width squared, not width x draws. */
function coefficientSpread({ coefficients, draws }: PosteriorDraws, width: number): CoefficientSpread {
  const means = new Float64Array(width);
  for (let at = 0; at < coefficients.length; at++) means[at % width] += coefficients[at] / draws;
  const covariance = new Float64Array(width * width);
  for (let d = 0; d < draws; d++)
    for (let j = 0; j < width; j++) {
      const from = coefficients[d * width + j] - means[j];
      for (let k = 0; k < width; k++)
        covariance[j * width + k] += (from * (coefficients[d * width + k] - means[k])) / draws;
    }
  return { means, covariance };
}

/** Mean and SD over the draws of the log life of one row: x'beta, and effects that are taken as apart from it. */
function logLifeOf(
  row: Float64Array,
  { means, covariance }: CoefficientSpread,
  effects: { readonly mean: number; readonly variance: number } | null,
): { mean: number; sd: number } {
  let mean = effects?.mean ?? 0;
  let variance = effects?.variance ?? 0;
  for (let j = 0; j < row.length; j++) {
    if (row[j] === 0) continue;
    mean += row[j] * means[j];
    let sum = 0;
    for (let k = 0; k < row.length; k++) sum += covariance[j * row.length + k] * row[k];
    variance += row[j] * sum;
  }
  return { mean, sd: Math.sqrt(Math.max(0, variance)) };
}

/** Chance that a new seal has failed by each whole age, draw by draw: row-major, draws x (oldestAge + 1). */
export function failedByDrawInto(
  out: Float64Array,
  row: Float64Array,
  draws: PosteriorDraws,
  family: Family,
  { oldestAge, effects }: { readonly oldestAge: number; readonly effects: Float64Array | null },
): void {
  const logAges = Float64Array.from({ length: oldestAge + 1 }, (_, age) => Math.log(age));
  const each = new Float64Array(oldestAge + 1);
  const table = survivalTable(family);
  for (let d = 0; d < draws.draws; d++) {
    let eta = effects?.[d] ?? 0;
    for (let k = 0; k < row.length; k++) eta += draws.coefficients[d * row.length + k] * row[k];
    const draw = { eta, perSigma: 1 / draws.scale[d] };
    conditionalSurvivalInto(each, logAges, 0, each.length, Number.NEGATIVE_INFINITY, draw, table);
    const at = d * (oldestAge + 1);
    for (let age = 0; age <= oldestAge; age++) out[at + age] = 1 - each[age];
  }
}
