import { type FirstFailures, type FirstFailureVisit, RuleFirstFailures } from '../forecast/first-failures.ts';
import type { Family } from '../survival/aft.ts';
import { checkReadings } from './check-condition-data.ts';
import { CloseDraws } from './close-draws.ts';
import type { ConditionDraws, GrowthDraws } from './condition.ts';
import { ConditionKernel, MOST_POINTS } from './condition-kernel.ts';
import type { ConditionForecastOptions, ConditionKnowledge } from './forecast-condition.ts';
import { type MadeForecasts, newForecasts, writeMeanForecast } from './mean-forecast.ts';
import { type PreparedReadings, prepareReadings } from './prepared-readings.ts';
import { GridLookUps, survivalInto } from './survival-on-grid.ts';

/**
 * First failures of the condition-updated model, from the very densities that `forecastCondition` averages. Segments
 * without readings have those of the life model and soundness alone, as there.
 * @throws RangeError when a reading has no meaning
 */
export class ConditionFirstFailures implements FirstFailures {
  /** Forecasts of the segments that `eachDraw` went through, for `forecastCondition`: densities cost most of the time. */
  readonly before: MadeForecasts;
  private readonly known: ConditionKnowledge;
  private readonly draws: ConditionDraws;
  private readonly readings: PreparedReadings;
  private readonly kernel: ConditionKernel;
  private readonly plain: RuleFirstFailures;
  private readonly yearLeft: number;
  private readonly density = new Float64Array(MOST_POINTS);
  private readonly mean = new Float64Array(MOST_POINTS);
  private readonly survival = new Float64Array(MOST_POINTS);
  /** Of now, then of year ends. */ private readonly lookUps: GridLookUps;
  /** null: each draw is asked. */ private readonly close: CloseDraws | null;
  /** At these ages. */ private readonly failed: Float64Array;
  private readonly now: Float64Array;
  /** Segment whose chances `now` holds. */ private nowOf = -1;

  constructor(
    known: ConditionKnowledge,
    draws: ConditionDraws & { readonly growth: GrowthDraws },
    family: Family,
    options: ConditionForecastOptions,
  ) {
    checkReadings(known, known.count);
    this.known = known;
    this.draws = draws;
    this.readings = prepareReadings(known, draws.reading);
    const { covariates, count, shared } = known;
    this.kernel = new ConditionKernel({ covariates, readings: this.readings, shared }, draws, draws.growth, family);
    const damageShare = new Float64Array(count).fill(Number.NaN);
    const { failureThresholdShare } = draws.reading;
    const rule = { ...options, failureThresholdShare, damageRule: null };
    this.plain = new RuleFirstFailures({ ...known, damageShare }, draws, family, rule);
    this.yearLeft = options.yearLeft;
    const yearEnds = options.horizonYears + 1;
    this.lookUps = new GridLookUps(1 + yearEnds);
    this.failed = new Float64Array(1 + yearEnds);
    this.now = new Float64Array(draws.draws);
    const { kernel, readings, lookUps } = this;
    const ages = this.failed.length;
    this.close = options.closeDraws ? new CloseDraws({ kernel, readings, lookUps, ages }, draws, draws.growth) : null;
    this.before = { forecasts: newForecasts(count, yearEnds), made: new Uint8Array(count) };
  }

  etasOf(i: number): Float64Array {
    return this.plain.etasOf(i);
  }

  eachDraw(i: number, visit: FirstFailureVisit): void {
    if (!this.isRead(i)) {
      this.plain.eachDraw(i, visit);
      return;
    }
    const { kernel, close, mean, survival, lookUps, failed, yearLeft, before } = this;
    const etas = this.etasOf(i);
    const nowYears = this.turnTo(i);
    lookUps.place(0, Math.log(nowYears), kernel);
    for (let y = 1; y < failed.length; y++) lookUps.place(y, Math.log(nowYears + yearLeft + y - 1), kernel);
    const take = (d: number, chances: Float64Array): void => {
      this.now[d] = chances[0];
      visit(d, etas[d], chances, 1, 1);
    };
    if (close?.turnTo(i, mean)) for (let d = 0; d < etas.length; d++) take(d, close.under(d));
    else this.askAll(take);
    writeMeanForecast(before.forecasts, i, { grid: kernel, density: mean, survival, nowYears }, yearLeft);
    before.made[i] = 1;
    this.nowOf = i;
  }

  /** Chances under each draw by itself, and the mean density. */
  private askAll(take: (d: number, chances: Float64Array) => void): void {
    const { kernel, density, mean, survival, failed, draws, lookUps } = this;
    const { points } = kernel;
    mean.fill(0, 0, points);
    for (let d = 0; d < draws.draws; d++) {
      kernel.densityInto(density, d);
      for (let j = 0; j < points; j++) mean[j] += density[j];
      survivalInto(survival, density, kernel);
      lookUps.failedInto(failed, survival, density);
      take(d, failed);
    }
    const perDraw = 1 / draws.draws;
    for (let j = 0; j < points; j++) mean[j] *= perDraw;
  }

  failedNowOf(i: number): Float64Array {
    if (!this.isRead(i)) return this.plain.failedNowOf(i);
    if (this.nowOf !== i) this.eachDraw(i, () => undefined);
    return this.now;
  }

  private isRead(i: number): boolean {
    return this.readings.start[i] < this.readings.start[i + 1];
  }

  /** @returns the age on the planning date */
  private turnTo(i: number): number {
    const soundAge = Math.max(0, this.known.soundAgeYears[i]);
    this.kernel.turnTo(i, Math.log(soundAge));
    return Math.max(soundAge, this.known.planningAgeYears[i]);
  }
}
