import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { describe, expect, test } from 'vitest';
import {
  DEFAULT_DAMAGE_RULE,
  damagePairs,
  damagePointer,
  estimateDamageRule,
} from '../../../../analytics/forecast/damage-rule.ts';

const rng = xoroshiro128plus(11);
const normal = () => {
  const u = 1 - uniformFloat64(rng);
  return Math.sqrt(-2 * Math.log(u)) * Math.cos(2 * Math.PI * uniformFloat64(rng));
};

describe('the damage rule', () => {
  test('half the threshold at 6 years with exponent 3 points to 6 x 2^(1/3) years', () => {
    const rule = { exponent: 3, logSd: 0.4, pairs: 0 };
    expect(Math.exp(damagePointer(6, 0.05, 0.1, rule))).toBeCloseTo(6 * 2 ** (1 / 3), 12);
  });

  test('exponent and error of invented growth are found again', () => {
    // share = 0.1 (t / (T e^error))^2.5: each look points to log T with an error of SD 0.2.
    const pairs = Array.from({ length: 4000 }, () => {
      const life = 8 + 8 * uniformFloat64(rng);
      const [earlierAgeYears, laterAgeYears] = [0.4 * life, 0.9 * life];
      const shareAt = (t: number) => 0.1 * (t / (life * Math.exp(0.2 * normal()))) ** 2.5;
      return {
        earlierAgeYears,
        laterAgeYears,
        earlierShare: shareAt(earlierAgeYears),
        laterShare: shareAt(laterAgeYears),
      };
    });
    const rule = estimateDamageRule(pairs);
    expect(rule.pairs).toBe(4000);
    expect(Math.abs(rule.exponent - 2.5)).toBeLessThan(0.1);
    expect(Math.abs(rule.logSd - 0.2)).toBeLessThan(0.02);
  });

  test('fewer than 30 pairs leave the stated defaults', () => {
    const pair = { earlierAgeYears: 4, earlierShare: 0.01, laterAgeYears: 8, laterShare: 0.08 };
    expect(estimateDamageRule(Array(29).fill(pair))).toBe(DEFAULT_DAMAGE_RULE);
    expect(estimateDamageRule(Array(30).fill(pair)).exponent).toBeCloseTo(3, 12);
  });

  test('pairs are successive looks with damage, up to the first failed one', () => {
    const looks = [0, 0.01, 0.04, 0.2, 0.5].map((share, i) => ({ ageDays: 1000 * (i + 1), share }));
    expect(damagePairs(looks, 0.1).map((pair) => pair.laterShare)).toEqual([0.04, 0.2]);
  });
});
