import { describe, expect, test } from 'vitest';
import { kaplanMeier } from '../../../../analytics/survival/kaplan-meier.ts';
import { leftTruncated, nonparametric } from '../../../reference/survival/read.ts';

const failuresOnly = (steps: ReturnType<typeof kaplanMeier>) => steps.filter((s) => s.failures > 0);
const repeat = (value: number, times: number): number[] => Array<number>(times).fill(value);

describe('published product-limit estimates', () => {
  test('6-MP remission, survival and standard errors', () => {
    // Freireich et al. 1963, Blood 21:699-716; weeks.
    const time = [6, 6, 6, 7, 10, 13, 16, 22, 23, 6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35];
    const steps = failuresOnly(kaplanMeier({ time, failed: time.map((_, i) => (i < 9 ? 1 : 0)) }));
    expect(steps.map((s) => s.survival.toFixed(4))).toEqual([
      '0.8571',
      '0.8067',
      '0.7529',
      '0.6902',
      '0.6275',
      '0.5378',
      '0.4482',
    ]);
    expect(steps.map((s) => s.standardError?.toFixed(5))).toEqual([
      '0.07636',
      '0.08694',
      '0.09635',
      '0.10681',
      '0.11405',
      '0.12823',
      '0.13459',
    ]);
  });

  test('placebo arm of the same trial, where all relapsed', () => {
    const time = [1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23];
    const steps = kaplanMeier({ time, failed: repeat(1, 21) });
    expect(steps.map((s) => s.survival.toFixed(4))).toEqual([
      '0.9048',
      '0.8095',
      '0.7619',
      '0.6667',
      '0.5714',
      '0.3810',
      '0.2857',
      '0.1905',
      '0.1429',
      '0.0952',
      '0.0476',
      '0.0000',
    ]);
    expect(steps.at(-1)?.standardError).toBeNull();
  });

  test('20 units on test, some removed (NIST/SEMATECH e-Handbook 8.2.1.5)', () => {
    const failed = [10, 32, 56, 98, 122, 181];
    const time = [...failed, 50, 100, 125, 150, ...repeat(200, 10)];
    const steps = failuresOnly(kaplanMeier({ time, failed: time.map((_, i) => (i < 6 ? 1 : 0)) }));
    expect(steps.map((s) => s.survival.toFixed(5))).toEqual([
      '0.95000',
      '0.90000',
      '0.84706',
      '0.79412',
      '0.73739',
      '0.67036',
    ]);
    expect(steps.map((s) => s.standardError?.toFixed(5))).toEqual([
      '0.04873',
      '0.06708',
      '0.08139',
      '0.09192',
      '0.10136',
      '0.11214',
    ]);
  });

  test('20 units with ties between failures and suspensions', () => {
    // Reliability wiki, Kaplan-Meier example, with one unit at 35: the printed curve needs 20 units.
    const failed = [9, 9, 9, 11, 13, 17, 21, 28, 30];
    const time = [...failed, 9, 12, 13, 15, 22, 24, 26, 32, 35, 39, 41];
    const steps = failuresOnly(kaplanMeier({ time, failed: time.map((_, i) => (i < failed.length ? 1 : 0)) }));
    const printed = ['0.850', '0.797', '0.740', '0.673', '0.605', '0.505', '0.404'];
    // The print cuts .79687 and .60567 at different digits; half a unit of the last is allowed.
    steps.forEach((s, k) => {
      expect(Math.abs(s.survival - Number(printed[k]))).toBeLessThan(1e-3);
    });
    expect(steps).toHaveLength(printed.length);
  });

  test('heat-exchanger tubes of three plants (Meeker and Escobar 1998, table 3.2)', () => {
    // Yearly inspections as times; 300, 197 and 97 at risk; 4, 5 and 2 cracked; 99, 95 and 95 removed sound.
    const time = [...repeat(1, 103), ...repeat(2, 100), ...repeat(3, 97)];
    const failed = [
      ...repeat(1, 4),
      ...repeat(0, 99),
      ...repeat(1, 5),
      ...repeat(0, 95),
      ...repeat(1, 2),
      ...repeat(0, 95),
    ];
    const steps = kaplanMeier({ time, failed });
    expect(steps.map((s) => s.atRisk)).toEqual([300, 197, 97]);
    expect(steps.map((s) => (1 - s.survival).toFixed(6))).toEqual(['0.013333', '0.038376', '0.058203']);
    expect(steps.map((s) => s.standardError?.toFixed(6))).toEqual(['0.006622', '0.012802', '0.018701']);
  });

  test('plant 1 alone: 1, 2 and 2 cracks of 100 (Meeker and Escobar 1998, chapter 3)', () => {
    const time = [1, 2, 2, 3, 3, ...repeat(3, 95)];
    const steps = kaplanMeier({ time, failed: time.map((_, i) => (i < 5 ? 1 : 0)) });
    expect(steps.map((s) => Number((1 - s.survival).toFixed(10)))).toEqual([0.01, 0.03, 0.05]);
  });
});

describe('the R package survival, 3.5-3', () => {
  for (const reference of nonparametric.kaplanMeier) {
    test(reference.name, () => {
      const steps = kaplanMeier({ time: reference.time, failed: reference.status });
      expect(steps).toHaveLength(reference.steps.length);
      steps.forEach((s, k) => {
        const expected = reference.steps[k];
        expect([s.time, s.atRisk, s.failures]).toEqual([expected.time, expected.atRisk, expected.events]);
        expect(Math.abs(s.survival - expected.survival)).toBeLessThan(1e-12);
        if (expected.se !== null) expect(Math.abs((s.standardError ?? 0) - expected.se)).toBeLessThan(1e-12);
      });
    });
  }

  test('myeloma with delayed entry, 3882 patients', () => {
    const { rows, productLimitDelayedEntry } = leftTruncated;
    const steps = kaplanMeier({
      entry: rows.map((r) => r[1]),
      time: rows.map((r) => r[2]),
      failed: rows.map((r) => r[3]),
    });
    productLimitDelayedEntry.days.forEach((day, k) => {
      const survival = steps.filter((s) => s.time <= day).at(-1)?.survival ?? 1;
      expect(Math.abs(survival - productLimitDelayedEntry.survival[k])).toBeLessThan(1e-10);
    });
  });
});

test('a weight of two is the same as two units', () => {
  const once = kaplanMeier({ time: [1, 2, 3], failed: [1, 0, 1], weight: [2, 1, 3] });
  const spread = kaplanMeier({ time: [1, 1, 2, 3, 3, 3], failed: [1, 1, 0, 1, 1, 1] });
  expect(once).toEqual(spread);
});

test('a time at or before entry is refused', () => {
  expect(() => kaplanMeier({ entry: [0, 4], time: [3, 4], failed: [1, 1] })).toThrow('Unit 2, time is 4');
});
