import { describe, expect, test } from 'vitest';
import { COVARIATES } from '../../../../analytics/survival/covariate-table.ts';
import { comparisonPlan } from '../../../../server/forecasting/comparison-plan.ts';
import { DEFAULT_SETTINGS } from '../../../../server/store/sqlite/settings.ts';

const PRESENT = { family: 'weibull', failureThresholdShare: 0.1, leftOut: [] as string[] } as const;

describe('the models to compare', () => {
  test('with nothing asked for are the present settings, and those with one thing changed', () => {
    const [first, ...others] = comparisonPlan({}, DEFAULT_SETTINGS);
    expect(first).toEqual(PRESENT);
    // Four other families, half and twice the threshold, each covariate left out.
    expect(others).toHaveLength(4 + 2 + COVARIATES.length);
    for (const { family, failureThresholdShare, leftOut } of others) {
      const changed = [family !== 'weibull', failureThresholdShare !== 0.1, leftOut.length > 0];
      expect(changed.filter(Boolean)).toHaveLength(1);
    }
  });

  test('put a covariate that is left out now back in', () => {
    const plan = comparisonPlan({}, { ...DEFAULT_SETTINGS, leftOutCovariates: ['width'] });
    expect(plan[0].leftOut).toEqual(['width']);
    expect(plan).toContainEqual(PRESENT);
    expect(plan).toContainEqual({ ...PRESENT, leftOut: ['width', 'traffic'] });
  });

  test('are every choice with every other where choices are given, after the present ones', () => {
    const request = { families: ['lognormal', 'weibull'], thresholds: [0.1, 0.2], leaveOut: [['width'], []] } as const;
    const plan = comparisonPlan(structuredClone(request) as never, DEFAULT_SETTINGS);
    expect(plan[0]).toEqual(PRESENT);
    expect(plan).toHaveLength(8);
    expect(new Set(plan.map((model) => JSON.stringify(model))).size).toBe(8);
  });

  test('are not tried with a threshold that no inspection could pass', () => {
    const high = comparisonPlan({}, { ...DEFAULT_SETTINGS, failureThresholdShare: 0.6 });
    expect(new Set(high.map((model) => model.failureThresholdShare))).toEqual(new Set([0.6, 0.3]));
  });
});
