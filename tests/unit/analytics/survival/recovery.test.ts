import { beforeAll, describe, expect, test } from 'vitest';
import type { AftData } from '../../../../analytics/survival/aft.ts';
import { RECOVERED_FAMILIES, type Recovered, recoverLives, sharedHeld } from './recovery.ts';

/**
 * With 2,000 seals the bias of maximum likelihood itself, which falls as one over their number, is lost in the Monte Carlo error
 * of 200 data sets. One coverage out of 200 is uncertain by 1.5 points; those of a parameter over three families by
 * 0.9, and those of a family over four parameters by 0.8, so that 93 to 97 % is two standard errors and more.
 */
const SIZE = { sets: 200, seals: 2000 };
const LEAST_HELD = 0.93;
const MOST_HELD = 0.97;
const LARGEST_BIAS = 3;

describe('lives of known truth, 200 data sets of each family', () => {
  let found: Recovered[] = [];
  beforeAll(() => {
    found = RECOVERED_FAMILIES.flatMap((family) => recoverLives(family, SIZE));
  });
  const where = (key: 'family' | 'name', value: string) => found.filter((one) => one[key] === value);

  test.each(RECOVERED_FAMILIES)('%s: no parameter is off by more than its Monte Carlo error', (family) => {
    expect(where('family', family)).toHaveLength(4);
    for (const { bias } of where('family', family)) expect(Math.abs(bias)).toBeLessThan(LARGEST_BIAS);
  });

  test.each(RECOVERED_FAMILIES)('%s: 95 %% intervals hold the truth in 93 to 97 %%', (family) => {
    expect(sharedHeld(where('family', family))).toBeGreaterThan(LEAST_HELD);
    expect(sharedHeld(where('family', family))).toBeLessThan(MOST_HELD);
  });

  test.each(['intercept', 'switch', 'covariate', 'log sigma'])('so do those of the %s over all families', (name) => {
    expect(where('name', name)).toHaveLength(3);
    expect(sharedHeld(where('name', name))).toBeGreaterThan(LEAST_HELD);
    expect(sharedHeld(where('name', name))).toBeLessThan(MOST_HELD);
  });
});

describe('what these bounds find out', () => {
  const size = { sets: 40, seals: 2000 };

  test('delayed entry left out: biased, and the truth lies outside the intervals', () => {
    const ignoring = (data: AftData): AftData => ({ ...data, entry: new Float64Array(data.entry.length) });
    const found = recoverLives('weibull', size, ignoring);
    const biases = found.map(({ bias }) => Math.abs(bias));
    expect(Math.max(...biases)).toBeGreaterThan(3 * LARGEST_BIAS);
    expect(sharedHeld(found)).toBeLessThan(LEAST_HELD);
  });

  test('each record counted twice: intervals that are too narrow', () => {
    const twice = (data: AftData): AftData => ({ ...data, weight: data.weight.map((w) => 2 * w) });
    expect(sharedHeld(recoverLives('weibull', size, twice))).toBeLessThan(LEAST_HELD);
  });
});
