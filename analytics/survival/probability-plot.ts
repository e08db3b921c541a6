import type { AftData } from './aft.ts';
import { type FittedModel, lifeQuantileOf, meanCovariates, paperHeight, survivalOf } from './model-comparison-life.ts';
import { turnbull } from './turnbull.ts';

export interface ProbabilityPlotOptions {
  /** Covariates, without intercept, of the seal that is drawn; the weighted mean unless given. */
  readonly covariates?: ArrayLike<number>;
  /** Of the band; 0.9 unless given. */ readonly level?: number;
}

/** The non-parametric estimate puts its mass somewhere in the box; the records do not say where. */
export interface PlotBox {
  /** Ages; toAge is null where the box has no end. */ readonly fromAge: number;
  readonly toAge: number | null;
  /** Share failed before and after the box, 0 to 1. */ readonly failedBefore: number;
  readonly failedAfter: number;
  /** The same on the paper; null at 0 and 1, which no paper shows. */ readonly heightBefore: number | null;
  readonly heightAfter: number | null;
  /** Whether the band passes through the box. */ readonly meetsBand: boolean;
}

export interface PlotLinePoint {
  readonly failed: number;
  readonly height: number;
  readonly age: number;
  /** Band at this share; null where the fit has no covariance. */ readonly lowerAge: number | null;
  readonly upperAge: number | null;
}

export interface ProbabilityPlot {
  /** On this family's paper the line is straight over the log of age. */ readonly family: FittedModel['family'];
  readonly boxes: readonly PlotBox[];
  readonly line: readonly PlotLinePoint[];
  /** Shares for the axis, with their heights on the paper. */
  readonly ticks: readonly { readonly failed: number; readonly height: number }[];
  readonly level: number;
  readonly observations: number;
  readonly failures: number;
  readonly sentence: string;
  /** What the reader must know before trusting the boxes. */ readonly notes: readonly string[];
}

const TICKS = [0.001, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.3, 0.5, 0.7, 0.8, 0.9, 0.95, 0.99, 0.999];
const LINE_POINTS = 60;
const HIGHEST = 0.99;
/** With more distinct ages than this they are rounded to half a per cent: finer than any chart shows. */
const MOST_AGES = 2000;
const GRID = 0.005;

/**
 * Data for a probability plot: boxes of the non-parametric estimate, and the fitted line with its band, by the delta
 * method on the log life at each share failed. Every age is first carried to the seal that is drawn, by the life ratio
 * of the fit's coefficients, so that seals with other covariates count too.
 * Source: Meeker and Escobar, Statistical Methods for Reliability Data (1998), chapters 6 and 8.
 * @throws RangeError as `turnbull` and `lifeQuantile`
 */
export function probabilityPlot(
  data: AftData,
  fit: FittedModel,
  options: ProbabilityPlotOptions = {},
): ProbabilityPlot {
  const { level = 0.9, covariates = meanCovariates(data) } = options;
  const notes: string[] = [];
  const carried = carryAges(data, fit, covariates);
  if (data.names.length > 0) notes.push('Ages are carried to the seal that is drawn, by the fit’s own life ratios.');
  const rows = roundAges(carried, notes);
  const estimate = turnbull(rows);
  const earliest = rows.entry.reduce((a, b) => Math.min(a, b), Infinity);
  // Nothing was seen before the first entry, so the estimate starts from what the fit says there.
  const share = earliest > 0 ? survivalOf(fit, covariates, earliest) : 1;
  if (estimate.note) notes.push(estimate.note);
  if (share < 1) notes.push('Before that age the boxes start from the share that the fit says had failed.');

  const failedAt = (soundShare: number): number => Math.max(0, Math.min(1, 1 - share * soundShare));
  const heightAt = (failed: number): number | null =>
    failed > 1e-12 && failed < 1 - 1e-12 ? paperHeight(fit, failed) : null;
  let before = 1;
  const boxes = Array.from(estimate.mass, (_, k): PlotBox => {
    const failedBefore = failedAt(before);
    before = estimate.survivalAfter[k];
    // Mass beyond the last age known sound has no place on the paper.
    const failedAfter = estimate.to[k] === Infinity ? 1 : failedAt(before);
    const fromAge = estimate.from[k];
    const toAge = estimate.to[k] === Infinity ? null : estimate.to[k];
    return {
      fromAge,
      toAge,
      failedBefore,
      failedAfter,
      heightBefore: heightAt(failedBefore),
      heightAfter: heightAt(failedAfter),
      meetsBand: meetsBand(fit, covariates, level, { fromAge, toAge, failedBefore, failedAfter }),
    };
  });
  const first = boxes.find(({ failedAfter }) => failedAfter > 0)?.failedAfter ?? 0.01;
  let failures = 0;
  let observations = 0;
  data.weight.forEach((w, i) => {
    observations += w;
    if (data.upper[i] < Infinity) failures += w;
  });
  return {
    family: fit.family,
    boxes,
    line: lineOf(fit, covariates, level, Math.max(1e-4, Math.min(0.01, first / 2))),
    ticks: TICKS.map((failed) => ({ failed, height: paperHeight(fit, failed) })),
    level,
    observations,
    failures,
    sentence: sentenceOn(boxes, fit, level),
    notes,
  };
}

type Rows = Pick<AftData, 'entry' | 'lower' | 'upper' | 'weight'>;

function carryAges(data: AftData, fit: FittedModel, covariates: ArrayLike<number>): Rows {
  const columns = data.names.length;
  if (columns === 0) return data;
  const first = fit.names.length - columns;
  const carried = {
    entry: new Float64Array(data.lower.length),
    lower: new Float64Array(data.lower.length),
    upper: new Float64Array(data.lower.length),
    weight: data.weight,
  };
  for (let i = 0; i < data.lower.length; i++) {
    let log = 0;
    for (let j = 0; j < columns; j++)
      log += fit.coefficients[first + j] * (covariates[j] - data.covariates[i * columns + j]);
    const ratio = Math.exp(log);
    for (const field of ['entry', 'lower', 'upper'] as const) carried[field][i] = data[field][i] * ratio;
  }
  return carried;
}

function roundAges(rows: Rows, notes: string[]): Rows {
  const distinct = new Set([...rows.entry, ...rows.lower, ...rows.upper]);
  if (distinct.size <= MOST_AGES) return rows;
  notes.push('Ages are rounded to half a per cent.');
  const rounded = (age: number): number =>
    age > 0 && age < Infinity ? Math.exp(GRID * Math.round(Math.log(age) / GRID)) : age;
  const entry = rows.entry.map(rounded);
  const lower = rows.lower.map(rounded);
  const upper = rows.upper.map((age, i) => {
    const exact = rows.lower[i] === age;
    const near = rounded(age);
    return exact || near > lower[i] ? near : Math.exp(GRID * (Math.round(Math.log(lower[i]) / GRID) + 1));
  });
  return { entry, lower, upper, weight: rows.weight };
}

/** The band at rising shares slides through rising ages, so it meets the box unless it has passed it at either end. */
function meetsBand(
  fit: FittedModel,
  covariates: ArrayLike<number>,
  level: number,
  { fromAge, toAge, failedBefore, failedAfter }: Pick<PlotBox, 'fromAge' | 'toAge' | 'failedBefore' | 'failedAfter'>,
): boolean {
  const bandAt = (p: number) => {
    const { estimate, lower, upper } = lifeQuantileOf(fit, covariates, { p, level });
    return { lower: lower ?? estimate, upper: upper ?? estimate };
  };
  const reachesFrom = failedAfter >= 1 - 1e-12 || bandAt(Math.max(failedAfter, 1e-12)).upper >= fromAge;
  const startsBefore =
    toAge === null || failedBefore <= 1e-12 || bandAt(Math.min(failedBefore, 1 - 1e-12)).lower <= toAge;
  return reachesFrom && startsBefore;
}

function lineOf(fit: FittedModel, covariates: ArrayLike<number>, level: number, lowest: number): PlotLinePoint[] {
  // Evenly spread in the log of the cumulative hazard, which is near to even on every paper.
  const low = Math.log(-Math.log1p(-lowest));
  const high = Math.log(-Math.log1p(-HIGHEST));
  return Array.from({ length: LINE_POINTS }, (_, k) => {
    const failed = -Math.expm1(-Math.exp(low + ((high - low) * k) / (LINE_POINTS - 1)));
    const { estimate, lower, upper } = lifeQuantileOf(fit, covariates, { p: failed, level });
    return { failed, height: paperHeight(fit, failed), age: estimate, lowerAge: lower, upperAge: upper };
  });
}

function sentenceOn(boxes: readonly PlotBox[], fit: FittedModel, level: number): string {
  if (!fit.converged) return 'The fit has no maximum, so its line is not to be trusted.';
  if (fit.failures === 0) return 'No failure is on record, so there is nothing to hold the line against.';
  const met = boxes.filter((box) => box.meetsBand).length;
  const share = `The ${Math.round(100 * level)} % band meets ${met} of the ${boxes.length} boxes`;
  return met >= level * boxes.length
    ? `${share}: the family fits the records.`
    : `${share}: another family, or covariates that are missing, may fit better.`;
}
