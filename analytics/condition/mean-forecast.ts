import type { SegmentForecasts } from '../forecast/forecast-segments.ts';
import { type LogAgeGrid, logAgeAtFailedShare, survivalAtLogAge, survivalInto } from './survival-on-grid.ts';

export type WritableForecasts = { -readonly [K in keyof SegmentForecasts]: SegmentForecasts[K] };

/** Further ahead than this a quantile is not given. */
const FARTHEST_YEARS = 100;

/** Mean density of y = log T over all draws, and room for the survival that it gives. */
export interface MeanDensity {
  readonly grid: LogAgeGrid;
  readonly density: Float64Array;
  readonly survival: Float64Array;
  /** Age on the planning date. */ readonly nowYears: number;
}

/** Writes the forecast of segment `i`: a mean over draws is taken of densities once, and all numbers come from it. */
export function writeMeanForecast(
  out: WritableForecasts,
  i: number,
  { grid, density, survival, nowYears }: MeanDensity,
  yearLeft: number,
): void {
  survivalInto(survival, density, grid);
  const failedBy = (age: number): number => 1 - survivalAtLogAge(Math.log(age), survival, density, grid);
  const ahead = (failedShare: number): number => {
    const years = Math.exp(logAgeAtFailedShare(failedShare, survival, density, grid)) - nowYears;
    return years > FARTHEST_YEARS ? Number.NaN : years;
  };
  out.failedNow[i] = failedBy(nowYears);
  for (let y = 0; y < out.yearEnds; y++) out.failedByYearEnd[i * out.yearEnds + y] = failedBy(nowYears + yearLeft + y);
  out.lowerYears[i] = ahead(0.1);
  out.medianYears[i] = ahead(0.5);
  out.upperYears[i] = ahead(0.9);
}

/** Forecasts of no segment yet. */
export const newForecasts = (count: number, yearEnds: number): WritableForecasts => ({
  failedByYearEnd: new Float64Array(count * yearEnds),
  yearEnds,
  failedNow: new Float64Array(count),
  medianYears: new Float64Array(count),
  lowerYears: new Float64Array(count),
  upperYears: new Float64Array(count),
});

/** Forecasts that were made on the way to something else. */
export interface MadeForecasts {
  readonly forecasts: WritableForecasts;
  /** 1 where there is one. */ readonly made: Uint8Array;
}

export function copyForecast(out: WritableForecasts, i: number, { forecasts }: MadeForecasts): void {
  const { yearEnds } = out;
  out.failedByYearEnd.set(forecasts.failedByYearEnd.subarray(i * yearEnds, (i + 1) * yearEnds), i * yearEnds);
  out.failedNow[i] = forecasts.failedNow[i];
  out.medianYears[i] = forecasts.medianYears[i];
  out.lowerYears[i] = forecasts.lowerYears[i];
  out.upperYears[i] = forecasts.upperYears[i];
}
