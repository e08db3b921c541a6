import fc from 'fast-check';
import { expect, test } from 'vitest';
import { planningYear } from '../../../../server/forecasting/planning-year.ts';

test.each([
  // Days gone by hand: January to June of a common year have 181 days.
  ['2026-07-01', 2026, 181 / 365],
  ['2024-07-01', 2024, 182 / 366],
  ['2025-01-01', 2025, 0],
  ['2023-12-31', 2023, 364 / 365],
  ['2000-12-31', 2000, 365 / 366], // a leap year, being a multiple of 400
  ['1900-03-01', 1900, 59 / 365], // none, being a multiple of 100
])('%s is in %i with %d of the year gone', (day, year, gone) => {
  const found = planningYear(day);
  expect(found.year).toBe(year);
  expect(found.yearLeft).toBeCloseTo(1 - gone, 12);
  expect(found.decimalYear).toBeCloseTo(year + gone, 9);
});

test('some of the year is always left, never more than all of it', () => {
  const days = fc.date({ min: new Date('1850-01-01'), max: new Date('2200-12-31'), noInvalidDate: true });
  fc.assert(
    fc.property(days, (date) => {
      const { year, yearLeft, decimalYear } = planningYear(date.toISOString().slice(0, 10));
      expect(yearLeft).toBeGreaterThan(0);
      expect(yearLeft).toBeLessThanOrEqual(1);
      expect(decimalYear + yearLeft).toBeCloseTo(year + 1, 9);
    }),
    { seed: 1, numRuns: 200 },
  );
});
