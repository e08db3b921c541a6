import { invertPositiveDefinite } from '../numeric/cholesky.ts';
import type { NewtonResult } from '../numeric/newton.ts';
import type { AftFit, AftPrior, Family } from '../survival/aft.ts';
import { judgeFit } from '../survival/fit-status.ts';
import { type Design, originalCoefficients } from '../survival/standardise.ts';
import type { ConditionData, ConditionFit, DamageGrowth, ReadingCounts, ReadingModel } from './condition.ts';
import { type ConditionDensity, centredInto } from './condition-density.ts';
import type { PreparedReadings } from './prepared-readings.ts';

/** A search's end, with all steps that it took. */
export interface Found extends NewtonResult {
  readonly steps: number;
}

/** What fit and draws share: data on the model's scale, and its density. */
export interface ConditionProblem {
  readonly design: Design;
  readonly readings: PreparedReadings;
  readonly density: ConditionDensity;
}

interface FitContext {
  readonly data: ConditionData;
  readonly family: Family;
  readonly prior: AftPrior | null;
  readonly reading: ReadingModel;
  readonly counts: ReadingCounts;
  /** See `SearchMode`. */ readonly estimates: Float64Array;
}

/** The fit that a search's end stands for, judged as a threshold fit is. */
export function assembleFit(
  problem: ConditionProblem,
  found: Found,
  threshold: AftFit,
  { data, family, prior, reading, counts, estimates }: FitContext,
): ConditionFit {
  const { design, density } = problem;
  const { places } = density;
  const inner = invertPositiveDefinite(
    found.hessian.map((h) => -h),
    places.size,
  );
  const verdict = judgeFit({
    hasPrior: prior !== null,
    shapeIsFree: places.logSigma >= 0 && (prior === null || prior.logScaleSd === Infinity),
    failures: threshold.failures,
    finite: found.outcome !== 'nonfinite' && found.at.every(Number.isFinite),
    reachedMaximum: found.outcome === 'converged' || (found.outcome === 'stuck' && scoreOf(found) < 1e-6),
    score: scoreOf(found),
    names: [...design.kept].map((column) => design.names[column]),
    coefficients: found.at.subarray(0, places.width),
    standardErrors:
      inner && Float64Array.from({ length: places.size }, (_, j) => Math.sqrt(inner[j * places.size + j])),
    tau: places.logSigma < 0 ? 1 : Math.exp(-found.at[places.logSigma]),
  });
  const covariance = inner && originalCovariance(design, density, inner);
  const full = design.names.length + (places.logSigma < 0 ? 0 : 1);
  const value = found.value - density.logPrior(found.at) + scaleOfShares(data, problem.readings);
  return {
    used: verdict.converged,
    sentence: usedSentence(counts),
    life: {
      family,
      names: design.names,
      coefficients: originalCoefficients(design, estimates.subarray(0, places.width)),
      scale: places.logSigma < 0 ? 1 : Math.exp(estimates[places.logSigma]),
      logLikelihood: Number.isFinite(value) ? value : -Number.MAX_VALUE,
      covariance: covariance && leadingBlock(covariance, Math.round(Math.sqrt(covariance.length)), full),
      observations: threshold.observations,
      failures: threshold.failures,
      iterations: found.steps,
      ...verdict,
      droppedNames: threshold.droppedNames,
      warnings: [...verdict.warnings, ...threshold.warnings.filter((line) => !verdict.warnings.includes(line))],
    },
    agesAlone: threshold,
    growth: covariance && growthOf(problem, estimates, covariance, full),
    covariance,
    mode: { theta: found.at, hessian: found.hessian, estimates },
    counts,
    reading,
  };
}

/** Turns densities of readings on the link's scale into densities of shares, so that links compare. */
function scaleOfShares({ weight }: ConditionData, { start, logSlope }: PreparedReadings): number {
  let sum = 0;
  for (let i = 0; i < weight.length; i++) for (let r = start[i]; r < start[i + 1]; r++) sum += weight[i] * logSlope[r];
  return sum;
}

const counted = (seals: number): string => seals.toLocaleString('en');

const usedSentence = ({ sealsWithShare, sealsWithTwoShares }: ReadingCounts): string =>
  `Damaged shares of ${counted(sealsWithShare)} seals, ${counted(sealsWithTwoShares)} of them with two or more, sharpen life and forecasts.`;

function scoreOf({ gradient, hessian }: NewtonResult): number {
  const n = gradient.length;
  return gradient.reduce(
    (worst, g, j) => (g === 0 ? worst : Math.max(worst, Math.abs(g) / Math.sqrt(Math.max(0, -hessian[j * n + j])))),
    0,
  );
}

function growthOf(
  { density, readings }: ConditionProblem,
  theta: Float64Array,
  covariance: Float64Array,
  firstGrowth: number,
): DamageGrowth {
  const { places } = density;
  const n = Math.round(Math.sqrt(covariance.length));
  const se = (at: number): number => Math.sqrt(covariance[at * n + at]);
  const inspectorShift = new Float64Array(places.inspectors);
  centredInto(inspectorShift, theta, places);
  const inspectorReadings = new Int32Array(places.inspectors);
  for (const k of readings.inspector) if (k >= 0 && k < inspectorReadings.length) inspectorReadings[k]++;
  return {
    exponent: Math.exp(theta[places.logExponent]),
    logExponentSe: se(firstGrowth),
    readingSd: Math.exp(theta[places.logReadingSd]),
    logReadingSdSe: se(firstGrowth + 1),
    inspectorSd: places.inspectors > 0 ? density.inspectorSd : 0,
    inspectorShift,
    inspectorShiftSe: inspectorShift.map((_, k) => se(firstGrowth + 2 + k)),
    inspectorReadings,
  };
}

/** A V A', where A maps theta to coefficients, log sigma, log m, log tau and the centred shifts. */
function originalCovariance(design: Design, { places }: ConditionDensity, inner: Float64Array): Float64Array {
  const { width, size, firstShift, inspectors } = places;
  const n = design.names.length;
  const outSize = n + size - width;
  const map = new Float64Array(outSize * size);
  for (let j = 0; j < n; j++) for (let k = 0; k < width; k++) map[j * size + k] = design.back[j * width + k];
  for (let a = width; a < firstShift; a++) map[(n + a - width) * size + a] = 1;
  for (let k = 0; k < inspectors; k++)
    for (let m = 0; m < inspectors; m++)
      map[(n + firstShift - width + k) * size + firstShift + m] = Number(k === m) - 1 / inspectors;
  const half = new Float64Array(outSize * size);
  for (let j = 0; j < outSize; j++)
    for (let m = 0; m < size; m++) {
      const share = map[j * size + m];
      if (share !== 0) for (let k = 0; k < size; k++) half[j * size + k] += share * inner[m * size + k];
    }
  const out = new Float64Array(outSize * outSize);
  for (let j = 0; j < outSize; j++)
    for (let k = 0; k <= j; k++) {
      let sum = 0;
      for (let m = 0; m < size; m++) sum += half[j * size + m] * map[k * size + m];
      out[j * outSize + k] = out[k * outSize + j] = sum;
    }
  return out;
}

function leadingBlock(matrix: Float64Array, n: number, size: number): Float64Array {
  return Float64Array.from({ length: size * size }, (_, k) => matrix[Math.floor(k / size) * n + (k % size)]);
}
