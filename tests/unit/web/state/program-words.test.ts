import { describe, expect, test } from 'vitest';
import { differenceLength, differenceMoney } from '../../../../web/state/program-differences.ts';
import {
  boundSentence,
  budgetPriceSentence,
  formatLengthYears,
  handMadeSentence,
  scenarioState,
  scenarioSummary,
  smallShare,
} from '../../../../web/state/program-words.ts';
import { FULL_INPUTS, PLAIN_INPUTS } from './scenario-inputs.ts';

const plain = (text: string) => text.replaceAll('\u00a0', ' ');

describe('how far a program can be from the best', () => {
  const program = { question: 'least-cost', objective: 1_000_300, bound: 1_000_000, currency: 'USD' } as const;

  test('is told as money and as a share', () => {
    const words = plain(boundSentence({ ...program, gapShare: 0.0003 }));
    expect(words).toContain('below $1.0 million: that is proven');
    expect(words).toContain('$300 above it, so at most 0.030 % from the best');
  });

  test('a program at its bound is said to be the best', () => {
    expect(boundSentence({ ...program, objective: 1_000_000, gapShare: 0 })).toContain('none is better');
  });

  test.each([
    [0.00034, '0.034 %'],
    [0.0012, '0.12 %'],
    [0.034, '3.4 %'],
    [0.12, '12 %'],
    [0.0000012, '0.0001 %'],
  ])('a share of %d reads %s', (share, words) => expect(plain(smallShare(share))).toBe(words));
});

test('the price of a budget is told as what one more thousand saves', () => {
  expect(budgetPriceSentence({ year: 2028, budgetPrice: 1.24 }, 'USD')).toBe(
    '$1,000 more in 2028 saves $1,240 over the horizon.',
  );
  expect(budgetPriceSentence({ year: 2029, budgetPrice: 0 }, 'USD')).toContain('does not bind');
  expect(budgetPriceSentence({ year: 2030, budgetPrice: null }, 'USD')).toBe('No limit in 2030.');
});

test('metre-years are told in km-years or mile-years', () => {
  const interval = { median: 1_609_344, lower: 1_000_000, upper: 2_000_000 };
  expect(plain(formatLengthYears(interval, 'si').value)).toBe('1,609 km-years');
  // 1609.344 m are a mile.
  expect(plain(formatLengthYears(interval, 'us').value)).toBe('1,000 mile-years');
});

describe('whether a program still holds', () => {
  const program = {
    revision: 3,
    modelVersion: 2,
    dataVersion: 5,
    madeAt: '',
    planningDate: '2026-07-01',
    current: false,
  };
  const words = (revision: number, version: { dataVersion: number; modelVersion: number | null }) =>
    scenarioState({ program, revision }, version).words;

  test('what has changed is named', () => {
    expect(words(4, { dataVersion: 5, modelVersion: 2 })).toBe('Out of date: the scenario has changed since');
    expect(words(3, { dataVersion: 6, modelVersion: 2 })).toBe('Out of date: the records have changed since');
    expect(words(4, { dataVersion: 6, modelVersion: 3 })).toBe(
      'Out of date: the scenario, the model and the records have changed since',
    );
    expect(words(3, { dataVersion: 5, modelVersion: 2 })).toBe('Out of date: prices or settings have changed since');
  });

  test('a current one is up to date, and none is none', () => {
    const version = { dataVersion: 5, modelVersion: 2 };
    expect(scenarioState({ program: { ...program, current: true }, revision: 3 }, version).state).toBe('current');
    expect(scenarioState({ program: null, revision: 1 }, version).state).toBe('none');
  });
});

test('a scenario is summed up in a line', () => {
  expect(scenarioSummary({ inputs: PLAIN_INPUTS }, 'USD')).toBe('20 years · no limit');
  expect(scenarioSummary({ inputs: FULL_INPUTS }, 'USD')).toBe(
    '12 years · $2,500,001 a year, apart from 2 years · 2 district limits · 2 targets · 1 committed · 1 held back · 1 chosen by hand',
  );
});

test('differences carry their signs', () => {
  const money = (amount: number) => `$${amount}`;
  expect(differenceMoney({ median: -5, lower: -9, upper: 2 }, money)).toEqual({ value: '−$5', range: '−$9 to +$2' });
  expect(plain(differenceLength({ median: 300, lower: 0, upper: 900 }, 'si').range)).toBe('0 m to +900 m');
});

test('what choices by hand cost is told, and when that is less than the search can tell', () => {
  const program = { question: 'least-cost', objective: 1_000_000, bound: 990_000, currency: 'USD' } as const;
  expect(handMadeSentence({ ...program, handMadeCost: 25_000 })).toBe(
    'Your choices add $25,000 to the discounted cost of work and open joints.',
  );
  expect(handMadeSentence({ ...program, handMadeCost: 4_000 })).toContain('less than the $10,000');
  expect(handMadeSentence({ ...program, handMadeCost: 0 })).toContain('cost nothing that can be told');
  expect(handMadeSentence({ ...program, handMadeCost: null })).toContain('No choice');
});
