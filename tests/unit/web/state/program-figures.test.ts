import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Interval } from '../../../../server/schemas/common.ts';
import type { Program, ProgramTotals } from '../../../../server/schemas/program.ts';
import { compareCsv, comparedRows, unlikeWords } from '../../../../web/state/program-compare.ts';
import { failedScopes, failedShareLines, failedShareRows, targetsOf } from '../../../../web/state/program-failed.ts';
import { districtSpending, spreadLabels, yearlySpending } from '../../../../web/state/program-spending.ts';
import { limitIn, tableCsv, tableLines } from '../../../../web/state/program-table.ts';

const at = (median: number): Interval => ({ median, lower: median * 0.9, upper: median * 1.2 });
const partYear = (year: number, cost: number) => ({
  year,
  lengthM: cost / 10,
  cost: at(cost),
  constantCost: at(cost / 2),
  failedShare: at(0.1),
  backlogM: at(500),
});
const year = (number: number, cost: number, budgetAtMost: number | null): Program['years'][number] => ({
  ...partYear(number, cost),
  works: 3,
  facilities: 1,
  mobilisationCost: 10,
  neighboursM: 0,
  budgetAtMost,
  budgetPrice: budgetAtMost === null ? null : 0.4,
});
const totals: ProgramTotals = {
  presentCost: at(300),
  presentOpenCost: at(50),
  presentFinalCost: 20,
  annualCost: at(40),
  nominalCost: at(330),
  lengthM: 33,
  works: 6,
  failedLengthYearsM: at(9000),
  backlogAtEndM: at(500),
  failedShareAtEnd: at(0.1),
  budgetUsedShare: null,
};
const program: Program = {
  ...{ scenarioId: 's1', scenarioName: 'One', scenarioRevision: 1, modelVersion: 1, dataVersion: 1 },
  ...{ planningDate: '2026-07-01', currency: 'USD', priceYear: 2025, escalationPerYear: 0.25 },
  ...{ discountRatePerYear: 0.04, question: 'least-cost', status: 'solved', sentence: 'It is solved.' },
  ...{ objective: 100, bound: 99, gapShare: 0.01, method: 'exact', conflicts: [], handMadeCost: null },
  ...{ asked: [], assumptions: [], cautions: [], totals },
  years: [year(2026, 200, 250), year(2027, 100, null)],
  rows: [
    { ...partYear(2026, 120), district: 'North', sealantClass: 'polysulfide', works: 2 },
    { ...partYear(2026, 80), district: 'Coast', sealantClass: 'hot-applied-type-2', works: 1 },
  ],
  districts: [
    { district: 'North', ...partYear(2026, 120) },
    { district: 'North', ...partYear(2027, 0) },
    { district: 'Coast', ...partYear(2026, 80) },
    { district: 'Coast', ...partYear(2027, 100) },
  ],
  facilityKinds: [{ facilityKind: 'runway', ...partYear(2026, 10) }],
  baselines: [
    { baseline: 'nothing', rule: 'No seal is replaced.', totals, years: [partYear(2026, 0), partYear(2027, 0)] },
  ],
};

describe('the budget table', () => {
  test('goes down from the network through its districts to the classes used there', () => {
    const names = tableLines(program, 'class', 'each-year').map(({ year: y, district, sealantClass }) => [
      y,
      district,
      sealantClass,
    ]);
    expect(names).toEqual([
      [2026, null, null],
      [2026, 'North', null],
      [2026, 'North', 'polysulfide'],
      [2026, 'Coast', null],
      [2026, 'Coast', 'hot-applied-type-2'],
      [2027, null, null],
      [2027, 'North', null],
      [2027, 'Coast', null],
    ]);
  });

  test('has constant money where that is asked for, and no failed share for a class', () => {
    const [network, , silicone] = tableLines(program, 'class', 'price-year');
    expect(network.cost.median).toBe(100);
    expect(silicone.failedShare).toBeNull();
  });

  test('as a file has both kinds of money under one head row', () => {
    const [head, first] = tableCsv(program, 'network');
    expect(first[head.indexOf('costMedian')]).toBe(200);
    expect(first[head.indexOf('constantCostMedian')]).toBe(100);
    expect(tableCsv(program, 'district').every((row) => row.length === head.length)).toBe(true);
  });

  test('a limit of each year in constant money: 250 of 2026 at 25 % a year is 200 of 2025', () => {
    // Compound growth by hand: 200 x 1.25 = 250.
    expect(limitIn(program.years[0], 'price-year', program)).toBeCloseTo(200, 12);
    expect(limitIn(program.years[1], 'price-year', program)).toBeNull();
  });
});

describe('spending', () => {
  test('the used share is of the limit, and there is none without a limit', () => {
    expect(yearlySpending(program, 'each-year').map(({ usedShare }) => usedShare)).toEqual([0.8, null]);
  });

  test('districts come in the order of what is spent in them', () => {
    expect(districtSpending(program, 'each-year').order).toEqual(['Coast', 'North']);
  });
});

describe('failed share', () => {
  test('is told of the network, each district and each kind; baselines only of the network', () => {
    const scopes = failedScopes(program);
    expect(scopes.map(({ key }) => key)).toEqual(['network', 'district Coast', 'district North', 'kind runway']);
    expect(failedShareLines(program, scopes[0], true).map(({ key }) => key)).toEqual(['nothing', 'program']);
    expect(failedShareRows(program, scopes[0])[0].baselines).toHaveLength(1);
    expect(failedShareRows(program, scopes[1])[0].baselines).toEqual([]);
  });

  test('targets are drawn over the years that they hold in', () => {
    const [network, coast] = failedScopes(program);
    const targets = [
      { scope: 'network', name: null, fromYear: 2027, atMostShare: 0.08 },
      { scope: 'district', name: 'Coast', fromYear: null, atMostShare: 0.05 },
    ] as const;
    expect(targetsOf(network, [...targets], program)).toEqual([{ from: 2027, to: 2027, at: 0.08 }]);
    expect(targetsOf(coast, [...targets], program)).toEqual([{ from: 2026, to: 2027, at: 0.05 }]);
  });
});

describe('side by side', () => {
  test('the programs come first, then the baselines of the first, with their rules', () => {
    const other = { ...program, scenarioId: 's2', scenarioName: 'Two', baselines: [] };
    const rows = comparedRows([program, other]);
    expect(rows.map(({ name, rule }) => [name, rule])).toEqual([
      ['One', null],
      ['Two', null],
      ['Do nothing', 'No seal is replaced.'],
    ]);
    const [head, ...lines] = compareCsv(rows);
    expect(lines.every((line) => line.length === head.length)).toBe(true);
  });

  test('what makes two programs unlike is said', () => {
    expect(unlikeWords([program, program])).toEqual([]);
    const longer = { ...program, years: [...program.years, year(2028, 1, null)], modelVersion: 2 };
    expect(unlikeWords([program, longer])).toEqual([
      expect.stringContaining('horizons'),
      expect.stringContaining('versions of the model'),
    ]);
  });
});

test('labels at the ends of lines keep their order, stay in the picture and do not touch', () => {
  fc.assert(
    fc.property(fc.array(fc.double({ min: 0, max: 300, noNaN: true }), { minLength: 1, maxLength: 10 }), (ends) => {
      const places = spreadLabels(ends, 15, [20, 300]);
      const order = ends.map((_, i) => i).sort((a, b) => ends[a] - ends[b] || a - b);
      const sorted = order.map((i) => places[i]);
      for (let i = 1; i < sorted.length; i++) expect(sorted[i] - sorted[i - 1]).toBeGreaterThanOrEqual(15 - 1e-9);
      expect(Math.max(...places)).toBeLessThanOrEqual(300 + 1e-9);
      expect(Math.min(...places)).toBeGreaterThanOrEqual(20 - 1e-9);
    }),
    { seed: 1 },
  );
});
