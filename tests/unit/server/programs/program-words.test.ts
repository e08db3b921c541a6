import fc from 'fast-check';
import { expect, test } from 'vitest';
import { decodeOutcome, encodeOutcome } from '../../../../server/programs/outcome-bytes.ts';
import { conflictSentence, gapWords, moneyWords, percentWords } from '../../../../server/programs/program-words.ts';
import { progressWords } from '../../../../server/programs/search-program.ts';

const row = { of: 'money' as const, year: 0, district: null, atMost: 100, atLeast: null };
const rows = {
  limits: [
    { ...row, name: 'the budget of 2027' },
    { ...row, of: 'length' as const, name: 'the crew capacity of 2027' },
    { ...row, atMost: null, atLeast: 500, name: 'the money of North in 2027' },
  ],
  targets: [
    {
      scope: 'network' as const,
      index: 0,
      year: 0,
      atMostShare: 0.1,
      name: 'the failed share of the network at the end of 2027',
    },
  ],
};
const say = (conflict: Parameters<typeof conflictSentence>[0], conflictsProven = true) =>
  conflictSentence(conflict, { conflictsProven }, rows, { currency: 'EUR', priceYear: 2025 });

test('a conflict says what was asked, what is needed, by how much, and what would help', () => {
  expect(say({ row: 0, in: 'limits', asked: 1_000_000, reachable: 1_250_000 })).toBe(
    'The budget of 2027 is EUR 1.00 million (money of 2025), and what is committed, targets and least jobs need EUR 1.25 million (money of 2025): EUR 250,000 (money of 2025) more. Raise it, or move settled work to other years.',
  );
  expect(say({ row: 1, in: 'limits', asked: 3048, reachable: 6096 })).toMatch(
    /is 3,048 m \(10,000 ft\), .* need 6,096 m \(20,000 ft\): 3,048 m \(10,000 ft\) more/,
  );
  expect(say({ row: 2, in: 'limits', asked: 500, reachable: 300 })).toMatch(
    /^The money of North in 2027 is to be at least EUR 500 .* Lower the floor\.$/,
  );
  expect(say({ row: 0, in: 'targets', asked: 0.1, reachable: 0.125 }, false)).toMatch(
    /at most 10 %; .* is 12.5 %, 2.5 % too much\. .* is not proven\.$/,
  );
});

test('money, shares and gaps read alike everywhere', () => {
  expect([moneyWords(999_999.6, 'USD'), moneyWords(2_345_678, 'USD'), moneyWords(-0.2, 'USD')]).toEqual([
    'USD 1,000,000',
    'USD 2.35 million',
    'USD 0',
  ]);
  expect([percentWords(0.1234), percentWords(0.1), gapWords(0), gapWords(0.00004), gapWords(0.0123)]).toEqual([
    '12.3 %',
    '10 %',
    '0 %',
    'under 0.01 %',
    '1.23 %',
  ]);
});

test('progress tells the best program and the bound once there are any', () => {
  const words = (bound: number, incumbent: number | null) =>
    progressWords({ shareDone: 0.5, bound, incumbent }, { words: 'Solving', currency: 'USD' });
  expect(words(Number.NEGATIVE_INFINITY, null)).toBe('Solving: none that keeps every limit yet, no bound yet');
  expect(words(99, 100)).toBe('Solving: best program USD 100, no program below USD 99, gap 1 %');
});

test('draws come back bit for bit', () => {
  const numbers = (count: number) => fc.array(fc.double(), { minLength: count, maxLength: count });
  const shape = fc.record({ draws: fc.integer({ min: 1, max: 4 }), count: fc.integer({ min: 1, max: 5 }) });
  const outcomes = shape.chain(({ draws, count }) =>
    fc.tuple(fc.constant({ draws, count }), numbers(3 * draws * count), numbers(3 * count)),
  );
  fc.assert(
    fc.property(outcomes, ([{ draws, count }, drawn, expected]) => {
      const part = (list: number[], at: number, size: number) =>
        Float64Array.from(list.slice(at * size, (at + 1) * size));
      const outcome = {
        ...{ draws, years: Array.from({ length: count }, (_, y) => 2026 + y), sealedLengthM: 12.5 },
        ...{ discountRatePerYear: 0.04, failedM: part(drawn, 0, draws * count) },
        ...{ cost: part(drawn, 1, draws * count), openCost: part(drawn, 2, draws * count) },
        expected: {
          failedM: part(expected, 0, count),
          cost: part(expected, 1, count),
          openCost: part(expected, 2, count),
        },
      };
      const stored = { outcome, modelVersion: 7, rowPrices: Float64Array.from(expected) };
      expect(decodeOutcome(encodeOutcome(stored))).toEqual(stored);
    }),
    { seed: 1, numRuns: 50 },
  );
});
