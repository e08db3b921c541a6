import { expect, test } from 'vitest';
import { chooseCutoffs } from '../../../../server/evidence/cutoffs.ts';

const yearsOf = (from: number, to: number, looks: number, failures: number) =>
  new Map(Array.from({ length: to - from + 1 }, (_, i) => [from + i, { looks, failures }] as const));

test('four ends of years, two years apart, the last of them two whole years before the planning date', () => {
  const { days, note } = chooseCutoffs(yearsOf(2000, 2026, 500, 40), '2026-07-01');
  expect(days).toEqual(['2017-12-31', '2019-12-31', '2021-12-31', '2023-12-31']);
  expect(note).toContain('2017-12-31');
  expect(chooseCutoffs(yearsOf(2000, 2026, 500, 40), '2026-12-31').days.at(-1)).toBe('2024-12-31');
});

test('records of a few years give cut-offs a year apart, as many as there are', () => {
  expect(chooseCutoffs(yearsOf(2021, 2026, 500, 40), '2026-07-01').days).toEqual([
    '2021-12-31',
    '2022-12-31',
    '2023-12-31',
  ]);
});

test('a cut-off waits until a hundred looks and ten failures are on record', () => {
  // 40 looks and 4 failures a year: enough at the end of the third year.
  expect(chooseCutoffs(yearsOf(2019, 2026, 40, 4), '2026-07-01').days).toEqual([
    '2021-12-31',
    '2022-12-31',
    '2023-12-31',
  ]);
});

test('where there are never enough, one look before has to do', () => {
  expect(chooseCutoffs(yearsOf(2022, 2026, 2, 0), '2026-07-01').days).toEqual(['2022-12-31', '2023-12-31']);
});

test.each([
  ['no inspection', new Map()],
  ['only recent ones', yearsOf(2025, 2026, 500, 40)],
  ['only old ones', yearsOf(2000, 2010, 500, 40)],
])('%s: no past forecast can be tried, and the note says why', (_, years) => {
  const { days, note } = chooseCutoffs(years, '2026-07-01');
  expect(days).toEqual([]);
  expect(note).toMatch(/no past forecast|No past forecast/);
});
