import { choleskyInPlace, choleskySolveInPlace } from '../numeric/cholesky.ts';
import { maximise } from '../numeric/newton.ts';
import type { AftData, AftFit, AftPrior } from './aft.ts';
import { checkAftData } from './check-aft-data.ts';
import { rowByRow } from './compress.ts';
import { standardQuantile } from './families.ts';
import { logLikelihood } from './log-likelihood.ts';
import { meanCovariates } from './model-comparison-life.ts';
import { standardisedCoefficients } from './posterior.ts';
import { type PosteriorDensity, posteriorDensity } from './posterior-density.ts';
import { newRowScore, rowScores } from './row-scores.ts';
import { familyTerms } from './row-terms.ts';
import { type Design, standardise } from './standardise.ts';

export interface InfluenceOptions {
  /** One entry for each row: the segment it belongs to, counted from 0. Each row for itself unless given. */
  readonly groups?: Int32Array;
  /** How many of the most influential to list; 20 unless given. */ readonly top?: number;
  /** How many of these to refit without the group instead of one step; 5 unless given. */ readonly refits?: number;
}

export interface InfluentialGroup {
  /** Row, or place in `groups`. */ readonly group: number;
  /** True: by a refit without the group. False: by one step, which is rough for the very strongest. */
  readonly refitted: boolean;
  /** Likelihood displacement: twice the log-likelihood, over all rows, that a fit without the group gives up. */
  readonly displacement: number;
  /** Change of each coefficient if the group were left out, in the order of the fit's names. */
  readonly coefficientChanges: readonly number[];
  /** Change of each in units of its standard error. */ readonly changesInErrors: readonly number[];
  readonly logScaleChange: number;
  /** Median life of the average seal without the group, as a multiple of that with it. */ readonly medianRatio: number;
}

export interface Influence {
  /** One entry per group. */ readonly displacement: Float64Array;
  /** Row-major, groups x (coefficients, then log sigma where it is estimated): changes if the group were left out. */
  readonly changes: Float64Array;
  /** By displacement, largest first. */ readonly top: readonly InfluentialGroup[];
  readonly sentence: string;
}

/** A displacement like the median of chi-square with as many degrees of freedom would move the fit half way out. */
const NOTABLE_SHARE = 0.5;
const REFIT_ITERATIONS = 50;
/** A coefficient that moves further than this, in log life, has run away: the rest does not determine it. */
const LONGEST_CHANGE = 8;

/**
 * What the fit would do without each row (with all of its weight), or each segment: one Newton step from the fit with
 * the group's score and information taken out. Only the strongest few are refitted, since one step is rough for them.
 * Sources: Pregibon (Ann. Statist. 9, 1981) for the step; Cook (J. R. Statist. Soc. B 48, 1986) for the displacement.
 * `prior`: the one that the fit was made with.
 * @throws RangeError where the fit did not converge or `groups` does not fit the rows
 */
export function influence(
  data: AftData,
  fit: AftFit,
  prior: AftPrior | null,
  { groups, top = 20, refits = 5 }: InfluenceOptions = {},
): Influence {
  checkAftData(data);
  if (!fit.converged || !fit.covariance)
    throw new RangeError(`Influence needs a fit that converged; this one is ${fit.status}`);
  const order = orderByGroup(data.lower.length, groups);
  const design = standardise(rowByRow(data), prior);
  const fixedScale = fit.family === 'exponential';
  const width = design.kept.length;
  const size = fixedScale ? width : width + 1;
  const outSize = fixedScale ? design.names.length : design.names.length + 1;
  const coefficients = standardisedCoefficients(design, fit.coefficients);
  const theta = Float64Array.of(...coefficients, ...(fixedScale ? [] : [Math.log(fit.scale)]));
  const density = posteriorDensity({ design, likelihood: logLikelihood(design, fit.family), prior, fixedScale });
  const information = new Float64Array(size * size);
  density.derivatives(theta, new Float64Array(size), information);
  for (let k = 0; k < information.length; k++) information[k] = -information[k];

  const leaveOut = oneStep(design, fit, theta, information);
  const count = order.start.length - 1;
  const displacement = new Float64Array(count);
  const changes = new Float64Array(count * outSize);
  for (let g = 0; g < count; g++) {
    const change = leaveOut(order.rows, order.start[g], order.start[g + 1]);
    displacement[g] = quadratic(information, change);
    changes.set(originalChange(design, change, outSize), g * outSize);
  }
  const byDisplacement = (a: number, b: number): number => displacement[b] - displacement[a] || a - b;
  const ranked = Array.from(displacement.keys()).sort(byDisplacement);
  const refitted = new Set<number>();
  for (const g of ranked.slice(0, Math.min(refits, top))) {
    const rows = order.rows.subarray(order.start[g], order.start[g + 1]);
    const found = refitWithout({ design, fit, prior, density, theta, rows });
    if (!found) continue;
    refitted.add(g);
    displacement[g] = found.displacement;
    changes.set(originalChange(design, found.change, outSize), g * outSize);
  }
  ranked.sort(byDisplacement);
  const describe = describer({ data, fit, displacement, changes, outSize, refitted });
  return {
    displacement,
    changes,
    top: ranked.slice(0, Math.max(0, top)).map(describe),
    sentence: sentenceOn(displacement, ranked, size, describe),
  };
}

/** Change of original coefficients, then of log sigma where there is one. */
function originalChange({ back, names, kept }: Design, change: Float64Array, outSize: number): Float64Array {
  const width = kept.length;
  const out = new Float64Array(outSize);
  for (let j = 0; j < names.length; j++) for (let k = 0; k < width; k++) out[j] += back[j * width + k] * change[k];
  if (outSize > names.length) out[names.length] = change[width];
  return out;
}

interface Refit {
  readonly design: Design;
  readonly fit: AftFit;
  readonly prior: AftPrior | null;
  /** Of all rows. */ readonly density: PosteriorDensity;
  readonly theta: Float64Array;
  /** To be left out. */ readonly rows: Int32Array;
}

/** null where the rest has no maximum. */
function refitWithout({ design, fit, prior, density, theta, rows }: Refit) {
  const weight = design.weight.slice();
  for (const i of rows) weight[i] = 0;
  const rest = { ...design, weight };
  const fixedScale = fit.family === 'exponential';
  const likelihood = logLikelihood(rest, fit.family);
  const restDensity = posteriorDensity({ design: rest, likelihood, prior, fixedScale });
  const { at, outcome } = maximise(restDensity.derivatives, theta, { maxIterations: REFIT_ITERATIONS });
  const change = at.map((value, j) => value - theta[j]);
  if (outcome !== 'converged' || change.some((step) => !(Math.abs(step) < LONGEST_CHANGE))) return null;
  return { change, displacement: 2 * Math.max(0, density.value(theta) - density.value(at)) };
}

/** Counting sort of rows by group. */
function orderByGroup(rows: number, groups: Int32Array | undefined): { rows: Int32Array; start: Int32Array } {
  if (!groups) {
    const own = Int32Array.from({ length: rows + 1 }, (_, i) => i);
    return { rows: own.subarray(0, rows), start: own };
  }
  if (groups.length !== rows)
    throw new RangeError(`groups has ${groups.length} entries; expected ${rows}, one for each row`);
  const count = groups.reduce((most, g) => Math.max(most, g + 1), 0);
  const start = new Int32Array(count + 1);
  groups.forEach((g, i) => {
    if (g < 0) throw new RangeError(`Row ${i + 1} of the fit, group is ${g}; expected 0 or more`);
    start[g + 1]++;
  });
  for (let g = 0; g < count; g++) start[g + 1] += start[g];
  const next = start.slice();
  const ordered = new Int32Array(rows);
  groups.forEach((g, i) => {
    ordered[next[g]++] = i;
  });
  return { rows: ordered, start };
}

/** Returns a function that gives the change of theta when rows[from] to rows[to - 1] are left out. */
function oneStep(design: Design, fit: AftFit, theta: Float64Array, information: Float64Array) {
  const width = design.kept.length;
  const size = theta.length;
  const tau = size > width ? Math.exp(-theta[width]) : 1;
  const score = rowScores(design, familyTerms(fit.family));
  const row = newRowScore();
  const rest = new Float64Array(size * size);
  const change = new Float64Array(size);

  const takeOut = (i: number): void => {
    const x = design.columns.subarray(i * width, (i + 1) * width);
    let eta = 0;
    for (let j = 0; j < width; j++) eta += tau * x[j] * theta[j];
    score(i, eta, tau, row);
    const [, e, t, ee, et, tt] = row;
    const w = design.weight[i];
    // Chain rule from (eta, tau) to coefficients and log sigma, as for the whole likelihood.
    const cross = -tau * (ee * eta + et * tau + e);
    for (let j = 0; j < width; j++) {
      change[j] -= w * tau * e * x[j];
      for (let k = 0; k <= j; k++) rest[j * size + k] += w * tau * tau * ee * x[j] * x[k];
      if (size > width) rest[width * size + j] += w * cross * x[j];
    }
    if (size === width) return;
    change[width] += w * (eta * e + tau * t);
    rest[size * size - 1] += w * (eta * eta * ee + 2 * tau * eta * et + tau * tau * tt + eta * e + tau * t);
  };

  return (rows: Int32Array, from: number, to: number): Float64Array => {
    change.fill(0);
    rest.set(information);
    for (let k = from; k < to; k++) takeOut(rows[k]);
    const score = Float64Array.from(change);
    if (choleskyInPlace(rest, size)) {
      choleskySolveInPlace(rest, size, score);
      if (score.every(Number.isFinite)) return score;
    }
    // Without the group the rest determines nothing; the step with all the information is a lower bound.
    rest.set(information);
    choleskyInPlace(rest, size);
    score.set(change);
    choleskySolveInPlace(rest, size, score);
    return score;
  };
}

function quadratic(matrix: Float64Array, x: Float64Array): number {
  let sum = 0;
  for (let j = 0; j < x.length; j++) for (let k = 0; k < x.length; k++) sum += x[j] * matrix[j * x.length + k] * x[k];
  return Math.max(0, sum);
}

interface Described {
  readonly data: AftData;
  readonly fit: AftFit;
  readonly displacement: Float64Array;
  readonly changes: Float64Array;
  readonly outSize: number;
  readonly refitted: ReadonlySet<number>;
}

function describer({ data, fit, displacement, changes, outSize, refitted }: Described) {
  const n = fit.names.length;
  const mean = meanCovariates(data);
  const average = data.intercept ? Float64Array.of(1, ...mean) : mean;
  const z = standardQuantile(fit.family, 0.5);
  const errors = Array.from({ length: n }, (_, j) => Math.sqrt(fit.covariance?.[j * (outSize + 1)] ?? 0));
  return (group: number): InfluentialGroup => {
    const own = changes.subarray(group * outSize, (group + 1) * outSize);
    const logScaleChange = outSize > n ? own[n] : 0;
    let logMedian = fit.scale * Math.expm1(logScaleChange) * z;
    for (let j = 0; j < n; j++) logMedian += average[j] * own[j];
    return {
      group,
      refitted: refitted.has(group),
      displacement: displacement[group],
      coefficientChanges: Array.from(own.subarray(0, n)),
      changesInErrors: errors.map((error, j) => (error > 0 ? own[j] / error : 0)),
      logScaleChange,
      medianRatio: Math.exp(logMedian),
    };
  };
}

function sentenceOn(
  displacement: Float64Array,
  ranked: readonly number[],
  size: number,
  describe: (group: number) => InfluentialGroup,
): string {
  const worst = describe(ranked[0]);
  const notable = displacement.reduce((count, d) => count + (d > NOTABLE_SHARE * size ? 1 : 0), 0);
  const percent = 100 * (worst.medianRatio - 1);
  const moved = Math.abs(percent) < 0.05 ? 'less than 0.1' : Math.abs(percent).toFixed(1);
  const shift = `without the strongest the median life of the average seal would be ${moved} % ${percent < 0 ? 'shorter' : 'longer'}`;
  if (notable === 0) return `No record pulls the fit far; ${shift}.`;
  return `${notable} of ${displacement.length} pull the fit notably: check their dates first; ${shift}.`;
}
