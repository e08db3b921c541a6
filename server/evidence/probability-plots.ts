import { classCurve } from '../../analytics/forecast/class-curve.ts';
import type { Family } from '../../analytics/survival/aft.ts';
import { standardQuantile } from '../../analytics/survival/families.ts';
import { turnbull } from '../../analytics/survival/turnbull.ts';
import type { ProbabilityPlot } from '../schemas/evidence-diagnostics.ts';
import type { CurrentFit } from './diagnostics.ts';

/** Shares marked on the vertical axis. */
const AXIS_SHARES = [0.001, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 0.8, 0.9, 0.95, 0.99];
/** Level of the bands of curves in analytics/forecast. */
const BAND_LEVEL = 0.8;
const LINE_POINTS = 41;
/** Ages are rounded to a quarter of a year: the eye sees no finer, and the estimate is faster by far. */
const GRID_PER_YEAR = 4;
const LEAST_FAILURES = 2;

/**
 * For each class, Turnbull's estimate and the fitted line with its band on the family's paper, where the fit of a class
 * whose seals are alike is straight. The line is at the mean covariates of the rows, which are not all alike, so the
 * estimate bends a little about it even where the fit is right.
 */
export function probabilityPlots(current: CurrentFit): ProbabilityPlot[] {
  return current.model.design.classes.flatMap((sealantClass, c) => {
    const rows = rowsOfClass(current, c);
    return rows.length === 0 ? [] : [plotOf(current, sealantClass, rows)];
  });
}

function rowsOfClass({ data }: CurrentFit, c: number): number[] {
  const width = data.names.length;
  return [...data.lower.keys()].filter((i) => data.covariates[i * width + c] === 1);
}

function plotOf(current: CurrentFit, sealantClass: string, rows: readonly number[]): ProbabilityPlot {
  const { data, model } = current;
  const failures = rows.filter((i) => data.upper[i] < Infinity).length;
  const enough = failures >= LEAST_FAILURES;
  return {
    sealantClass,
    family: model.family,
    seals: rows.length,
    failures,
    boxes: enough ? boxesOf(current, rows) : [],
    line: lineOf(current, rows),
    bandLevel: BAND_LEVEL,
    axis: AXIS_SHARES.map((failed) => ({ failed, quantile: standardQuantile(model.family, failed) })),
    note: enough
      ? null
      : `${failures === 0 ? 'No failure' : 'One failure'} on record: too few for points on the paper.`,
  };
}

function boxesOf({ data, model }: CurrentFit, rows: readonly number[]): ProbabilityPlot['boxes'] {
  const onGrid = (ages: Float64Array) => Float64Array.from(rows, (i) => Math.round(ages[i] * GRID_PER_YEAR));
  const entry = onGrid(data.entry);
  const lower = onGrid(data.lower).map((age, k) => Math.max(age, entry[k]));
  const upper = onGrid(data.upper).map((age, k) => Math.max(age, lower[k] + 1));
  const estimate = turnbull({ entry, lower, upper, weight: new Float64Array(rows.length).fill(1) });
  return Array.from(estimate.from, (from, j) => {
    const failedAfter = 1 - estimate.survivalAfter[j];
    const failedBefore = Math.max(0, failedAfter - estimate.mass[j]);
    return {
      fromYears: from / GRID_PER_YEAR,
      toYears: Number.isFinite(estimate.to[j]) ? estimate.to[j] / GRID_PER_YEAR : null,
      failedBefore,
      failedAfter,
      quantileBefore: onPaper(model.family, failedBefore),
      quantileAfter: onPaper(model.family, failedAfter),
    };
  });
}

function lineOf({ data, model, draws }: CurrentFit, rows: readonly number[]): ProbabilityPlot['line'] {
  const width = data.names.length;
  const row = new Float64Array(width);
  for (const i of rows) for (let j = 0; j < width; j++) row[j] += data.covariates[i * width + j] / rows.length;
  const oldest = rows.reduce((age, i) => Math.max(age, data.upper[i] < Infinity ? data.upper[i] : data.lower[i]), 1);
  // Even steps of log age from a twentieth of the oldest seal's: the paper's horizontal axis is logarithmic.
  const ages = Float64Array.from({ length: LINE_POINTS }, (_, k) => oldest * 20 ** (k / (LINE_POINTS - 1) - 1));
  const { survival, lower, upper } = classCurve(ages, row, draws, model.family);
  return Array.from(ages, (ageYears, k) => {
    const [failed, least, most] = [1 - survival[k], 1 - upper[k], 1 - lower[k]];
    const [quantile, quantileLower, quantileUpper] = [failed, least, most].map((p) => onPaper(model.family, p));
    return { ageYears, failed, lower: least, upper: most, quantile, quantileLower, quantileUpper };
  });
}

/** Place of a share on the paper; 0 and 1 have none. */
function onPaper(family: Family, failed: number): number | null {
  const quantile = failed > 0 && failed < 1 ? standardQuantile(family, failed) : Number.NaN;
  return Number.isFinite(quantile) ? quantile : null;
}
