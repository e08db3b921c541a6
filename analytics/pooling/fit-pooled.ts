import normalQuantile from '@stdlib/stats-base-dists-normal-quantile';
import { ONE_THREAD } from '../numeric/chunk-sums.ts';
import type { AftData, AftFit } from '../survival/aft.ts';
import { checkAftPrior } from '../survival/check-aft-prior.ts';
import { fitAft } from '../survival/fit-aft.ts';
import { familyTerms } from '../survival/row-terms.ts';
import { type Design, originalCoefficients } from '../survival/standardise.ts';
import { levelCounts } from './expected-failures.ts';
import { levelEffects } from './level-effects.ts';
import { LEAST_SD, type MarginalMaximum, maximiseMarginal, type SpreadPrior } from './marginal-likelihood.ts';
import { modesBySums, POOLED_MODES } from './mode-chunks.ts';
import { levelsInUse, oneLevel, withoutEffects } from './nothing-to-compare.ts';
import { type ModeFinder, modeFinder } from './penalised-mode.ts';
import type { PooledFit, PooledGrouping, PooledOptions } from './pooled-fit.ts';
import { checkGroupings, type Grouping, type PooledRows, poolRows } from './pooled-rows.ts';

export type { LevelEffect } from './level-effects.ts';
export type { SpreadPrior } from './marginal-likelihood.ts';
export type { PooledFit, PooledGrouping, PooledOptions } from './pooled-fit.ts';
export type { Grouping } from './pooled-rows.ts';

/**
 * Spread of log life with a mean of 0.5 and no mass at zero, so that few levels are never pooled wholly by accident.
 * Source of the form: Chung, Rabe-Hesketh, Dorie, Gelman and Liu (Psychometrika 78, 2013); the rate is a proposal.
 */
export const DEFAULT_SPREAD_PRIOR: SpreadPrior = { shape: 2, rate: 4 };
const START_SD = 0.2;

/**
 * Fits log T = x'beta + sum of level effects + sigma W with level effects N(0, sd²) for each grouping, the sds and
 * sigma estimated (empirical Bayes by Laplace's method). Effects are shrunk to 0 as far as the records are thin.
 * Rows with index -1 count as of the average level. A grouping with one level in use takes no part and says so.
 * @throws RangeError as `fitAft`; and naming the grouping and row of a wrong index, or a wrong fixed spread
 */
export function fitPooled(data: AftData, groupings: readonly Grouping[], options: PooledOptions): PooledFit {
  const {
    family,
    prior,
    spreadPrior = DEFAULT_SPREAD_PRIOR,
    fixedSds = null,
    restricted = true,
    level = 0.8,
    threads = ONE_THREAD,
  } = options;
  const plain = fitAft(data, { family, prior, threads });
  checkGroupings(data, groupings);
  if (prior) checkAftPrior(prior, data);
  checkFixed(groupings, fixedSds);
  const used = groupings.flatMap((grouping, g) => (levelsInUse(grouping) > 1 ? [g] : []));
  if (!plain.converged) return withoutEffects(plain, data, groupings, level);

  const rows = poolRows(
    data,
    used.map((g) => groupings[g]),
    prior,
  );
  const fixedScale = family === 'exponential';
  const finder = modeFinder(rows, familyTerms(family), prior, fixedScale);
  const start = {
    logSigma: Math.log(plain.scale),
    sds: fixedSds ? used.map((g) => fixedSds[g]) : used.map(() => START_SD),
  };
  const input = { rows, family, prior, fixedScale, most: 2 * (1 + used.length) };
  const found = threads.withSums(POOLED_MODES, input, (sums) =>
    maximiseMarginal(start, startingMode(rows, finder), {
      finder,
      modes: modesBySums(sums, input),
      levelCounts: used.map((g) => groupings[g].levels.length),
      spreadPrior,
      fixedSds: fixedSds && start.sds,
      fixedScale,
      restricted,
      coefficients: rows.design.kept.length,
    }),
  );
  if (!found) return withoutEffects(plain, data, groupings, level);
  return assemble({ plain, data, groupings, used, rows, finder, found, level, fixed: fixedSds !== null });
}

function checkFixed(groupings: readonly Grouping[], fixedSds: readonly number[] | null): void {
  if (!fixedSds) return;
  groupings.forEach(({ name }, g) => {
    if (!(fixedSds[g] > 0 && fixedSds[g] < Infinity))
      throw new RangeError(`The fixed spread of ${name} is ${fixedSds[g]}; expected a number above 0`);
  });
}

/** No effects, and coefficients that put every seal at the middle age: Newton goes on from there. */
function startingMode({ design }: PooledRows, { levelStart }: ModeFinder): Float64Array {
  const levels = levelStart[levelStart.length - 1];
  const start = new Float64Array(levels + design.kept.length);
  start.set(
    design.ones.map((share) => share * 0.5),
    levels,
  );
  return start;
}

interface Parts {
  readonly plain: AftFit;
  readonly data: AftData;
  readonly groupings: readonly Grouping[];
  /** Which groupings take part. */ readonly used: readonly number[];
  readonly rows: PooledRows;
  readonly finder: ModeFinder;
  readonly found: MarginalMaximum;
  readonly level: number;
  readonly fixed: boolean;
}

function assemble({ plain, data, groupings, used, rows, finder, found, level, fixed }: Parts): PooledFit {
  const { design } = rows;
  const { at } = found.mode;
  const { levelStart } = finder;
  const coefficientStart = levelStart[levelStart.length - 1];
  const variances = addSpreadUncertainty(finder.variances(), found);
  const tau = Math.exp(-found.spread.logSigma);
  const pooled = groupings.map((grouping, g): PooledGrouping => {
    const k = used.indexOf(g);
    if (k < 0) return oneLevel(grouping, data, level);
    const counts = levelCounts(rows, plain.family, { at, levelStart, tau, grouping: k });
    const effects = at.subarray(levelStart[k], levelStart[k + 1]);
    const levels = levelEffects(
      grouping.levels,
      effects,
      variances.subarray(levelStart[k], levelStart[k + 1]),
      counts,
      level,
    );
    return { name: grouping.name, levels, unknownSeals: counts.unknown, ...spreadOf(grouping, found, k, level, fixed) };
  });
  const warnings = [
    ...plain.warnings.filter((w) => plain.status !== 'ok' || plain.droppedNames.some((d) => w.startsWith(d))),
  ];
  if (!found.converged) warnings.push('The spread between levels was met only roughly; use fewer groupings.');
  return {
    family: plain.family,
    names: plain.names,
    coefficients: originalCoefficients(design, at.subarray(coefficientStart)),
    coefficientErrors: coefficientErrors(design, finder.coefficientCovariance(), found, coefficientStart),
    scale: Math.exp(found.spread.logSigma),
    marginalLogLikelihood: found.marginalLogLikelihood,
    groupings: pooled,
    level,
    observations: plain.observations,
    failures: plain.failures,
    iterations: found.iterations,
    converged: true,
    status: plain.status === 'ok' && !found.converged ? 'weak' : plain.status,
    warnings,
    droppedNames: plain.droppedNames,
  };
}

/** Adds what not knowing sigma and the spreads does to effects. Source: Kass and Steffey (J. Amer. Statist. Assoc. 84, 1989). */
function addSpreadUncertainty(variances: Float64Array, { covariance, modeSlopes }: MarginalMaximum): Float64Array {
  if (!covariance) return variances;
  const n = modeSlopes.length;
  return variances.map((variance, i) => {
    let sum = variance;
    for (let a = 0; a < n; a++)
      for (let b = 0; b < n; b++) sum += modeSlopes[a][i] * covariance[a * n + b] * modeSlopes[b][i];
    return sum;
  });
}

function coefficientErrors(
  { back, names, kept }: Design,
  conditional: Float64Array,
  { covariance, modeSlopes }: MarginalMaximum,
  start: number,
): Float64Array {
  const width = kept.length;
  const n = modeSlopes.length;
  return Float64Array.from(names, (_, j) => {
    let variance = 0;
    for (let a = 0; a < width; a++)
      for (let b = 0; b < width; b++)
        variance += back[j * width + a] * conditional[a * width + b] * back[j * width + b];
    if (covariance) {
      const slope = modeSlopes.map((s) => {
        let sum = 0;
        for (let a = 0; a < width; a++) sum += back[j * width + a] * s[start + a];
        return sum;
      });
      for (let a = 0; a < n; a++) for (let b = 0; b < n; b++) variance += slope[a] * covariance[a * n + b] * slope[b];
    }
    return Math.sqrt(Math.max(0, variance));
  });
}

function spreadOf({ name, levels }: Grouping, found: MarginalMaximum, k: number, level: number, fixed: boolean) {
  const estimate = found.spread.sds[k];
  if (fixed) {
    const sentence = `The spread among ${levels.length} levels of ${name} was given: a factor of ${factorOf(estimate)} in life.`;
    return { sd: estimate, sdLower: null, sdUpper: null, sentence };
  }
  if (estimate < 2 * LEAST_SD) {
    const sentence = `The ${levels.length} levels of ${name} differ in life no more than chance would make them.`;
    return { sd: 0, sdLower: null, sdUpper: null, sentence };
  }
  const place = found.free.indexOf(k);
  const variance = found.covariance?.[place * (found.free.length + 1)] ?? 0;
  if (!(variance > 0)) {
    const sentence = `Among ${levels.length} levels of ${name} life differs by a factor of about ${factorOf(estimate)}.`;
    return { sd: estimate, sdLower: null, sdUpper: null, sentence };
  }
  const reach = Math.exp(normalQuantile((1 + level) / 2, 0, 1) * Math.sqrt(variance));
  const interval = `${Math.round(100 * level)} % interval ${factorOf(estimate / reach)} to ${factorOf(estimate * reach)}`;
  const sentence = `Among ${levels.length} levels of ${name} life differs by a factor of about ${factorOf(estimate)} (one standard deviation; ${interval}).`;
  return { sd: estimate, sdLower: estimate / reach, sdUpper: estimate * reach, sentence };
}

const factorOf = (sd: number): string => Math.exp(sd).toFixed(2);
