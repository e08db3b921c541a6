import { describe, expect, test } from 'vitest';
import { meanChances, modelForecast } from '../../../../analytics/backtest/trial-forecast.ts';
import { observedAgainstExpected, ratioInterval } from '../../../../analytics/diagnostics/observed-expected.ts';
import { simulatedModel, simulatedTrials } from '../backtest/simulated-trials.ts';

describe('exact interval of observed over expected', () => {
  test('with equal chances it is the published binomial interval', () => {
    // 3 of 10, 95 %: 0.0667 to 0.6525 (Clopper and Pearson's charts and every later table), here over 0.3 expected.
    const { lower, upper } = ratioInterval(new Float64Array(10).fill(0.3), 3, 0.95);
    expect((lower * 0.3).toFixed(4)).toBe('0.0667');
    expect((upper * 0.3).toFixed(4)).toBe('0.6525');
  });

  test('nothing observed: lower end 0, upper by hand', () => {
    // Ten looks, 80 %: the upper chance solves (1 - p)^10 = 0.1.
    const { lower, upper } = ratioInterval(new Float64Array(10).fill(0.2), 0);
    expect(lower).toBe(0);
    expect(upper * 0.2).toBeCloseTo(1 - 0.1 ** 0.1, 5);
  });

  test('all observed: upper end is all of them', () => {
    const { lower, upper } = ratioInterval(new Float64Array(10).fill(0.5), 10);
    expect(upper).toBe(2);
    expect(lower * 0.5).toBeCloseTo(0.1 ** 0.1, 5);
  });

  test('where the normal takes over the interval goes on smoothly', () => {
    const few = ratioInterval(new Float64Array(2000).fill(0.04), 80);
    const many = ratioInterval(new Float64Array(4000).fill(0.04), 160);
    // Its width falls as one over the root of the count.
    expect((few.upper - few.lower) / (many.upper - many.lower)).toBeCloseTo(Math.SQRT2, 1);
  });
});

describe('failures found against failures expected', () => {
  const trials = simulatedTrials({ lives: 3000, seed: 21 });
  const chances = (times: number) =>
    meanChances(trials, modelForecast('', trials, [simulatedModel(trials, times, { draws: 1 })]));

  test('by the true model the ratio is near 1 overall and 1 lies within most intervals', () => {
    const report = observedAgainstExpected(trials, chances(1));
    expect(report.overall.ratio).toBeCloseTo(1, 1);
    expect(report.byDecile).toHaveLength(10);
    expect(report.byDecile.reduce((sum, row) => sum + row.observed, 0)).toBe(report.overall.observed);
    expect(report.byAge.reduce((sum, row) => sum + row.trials, 0)).toBe(trials.count);
    const all = [...report.byDecile, ...report.byAge, ...report.byClass, ...report.byZone];
    const holding = all.filter(({ interval }) => interval && interval.lower <= 1 && interval.upper >= 1);
    // Of about 20 intervals of 80 %, fewer than half holding has a chance below 1 in 500.
    expect(holding.length / all.length).toBeGreaterThan(0.5);
  });

  test('lives taken 30 % too long show as more failures than expected, beyond chance', () => {
    const { overall, byClass } = observedAgainstExpected(trials, chances(1.3));
    expect(overall.ratio).toBeGreaterThan(1.4);
    expect(overall.interval?.lower).toBeGreaterThan(1.3);
    for (const row of byClass) expect(row.interval?.lower).toBeGreaterThan(1);
  });

  test('nothing expected has no ratio', () => {
    const { overall } = observedAgainstExpected(trials, new Float64Array(trials.count));
    expect(overall.ratio).toBeNull();
    expect(overall.interval).toBeNull();
  });
});
