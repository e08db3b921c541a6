import { describe, expect, test } from 'vitest';
import type { Comparison } from '../../../../server/schemas/evidence-backtest.ts';
import {
  comparisonSentence,
  formatPart,
  formatRange,
  inPlainWords,
  tenthLabel,
} from '../../../../web/state/evidence-words.ts';
import { formatShare } from '../../../../web/state/format.ts';

const NBSP = '\u00a0';

describe('words of the evidence', () => {
  test('stored words of classes and zones are said as the screens say them, the longest first', () => {
    expect(inPlainWords('not for the class hot-applied-type-2 and the climate zone wet-freeze.')).toBe(
      'not for the class hot-applied, type II and the climate zone wet, freeze.',
    );
    expect(inPlainWords('the class hot-applied')).toBe('the class hot-applied, type not recorded');
  });

  test('a word inside another and the word "unknown" are left alone', () => {
    expect(inPlainWords('lot silicone-non-sag-7 of an unknown crew')).toBe('lot silicone-non-sag-7 of an unknown crew');
  });

  test('long numbers get their separators, years, dates and names do not', () => {
    expect(inPlainWords('27520 looks in 2024, lot A-12345, from 2017-12-31')).toBe(
      '27,520 looks in 2024, lot A-12345, from 2017-12-31',
    );
    expect(inPlainWords('14 % of them')).toBe(`14${NBSP}% of them`);
  });

  test('tenths read in per cent, and anything else as it is', () => {
    expect(tenthLabel('0.1 to 0.2')).toBe(`10 to 20${NBSP}%`);
    expect(tenthLabel('0.9 to 1')).toBe(`90 to 100${NBSP}%`);
    expect(tenthLabel('all')).toBe('all');
  });

  test('an interval that is not known is not a number', () => {
    expect(formatRange(null, formatShare)).toBe('–');
    expect(formatRange({ lower: null, upper: null }, formatShare)).toBe('–');
    expect(formatRange({ lower: 0.25, upper: 0.5 }, formatShare)).toBe(`25${NBSP}% to 50${NBSP}%`);
    expect(formatPart(1, 4)).toBe(`1 of 4 (25${NBSP}%)`);
    expect(formatPart(0, 0)).toBe('0 of 0');
  });
});

describe('the model against a simple method', () => {
  const against = (mean: number, lower: number | null, upper: number | null): string =>
    comparisonSentence({
      against: 'fixed life',
      logScore: { mean, lower, upper },
      brier: { mean, lower, upper },
      logSkill: mean,
    } satisfies Comparison);

  test('is better only when the whole interval is above 0', () => {
    expect(against(0.1, 0.05, 0.15)).toBe(
      `The model’s forecasts fit what was found better than “Fixed life for each class”: its misfit (log score) is 10${NBSP}% smaller on average.`,
    );
    expect(against(0.1, -0.05, 0.2)).toContain('neither better nor worse');
    expect(against(-0.1, -0.2, -0.05)).toContain('worse than');
  });

  test('without an interval it says that it cannot be sure', () => {
    expect(against(0.1, null, null)).toContain('too few facilities');
    expect(against(-0.1, null, null)).toContain('no better than');
  });
});
