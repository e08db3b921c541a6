import { discountFactor } from '../forecast/life-cycle.ts';
import type { ProgramComparison } from './program-comparison.ts';
import type { OutcomeDraws } from './program-outcome.ts';
import { inYear, overYears, sumOf, weighted, type YearDraws } from './year-table.ts';

/**
 * Second less first, over the calendar years that both have, draw by draw: what chance does to both alike is in neither
 * number. Discounted at the first one's rate from the first common year.
 * @throws RangeError when they were tried on different numbers of draws, or have no year in common
 */
export function comparePrograms(first: OutcomeDraws, second: OutcomeDraws): ProgramComparison {
  if (first.draws !== second.draws)
    throw new RangeError(`draws are ${first.draws} and ${second.draws}; expected the same sample`);
  const years = first.years.filter((year) => second.years.includes(year));
  if (years.length === 0) throw new RangeError('The programs have no year in common');
  const less = (of: (outcome: OutcomeDraws) => YearDraws): YearDraws =>
    difference(within(of(first), first.years, years), within(of(second), second.years, years));
  const cost = less((o) => ({ expected: o.expected.cost, values: o.cost }));
  const open = less((o) => ({ expected: o.expected.openCost, values: o.openCost }));
  const backlog = less((o) => ({ expected: o.expected.failedM, values: o.failedM }));
  const share = less((o) => scaled({ expected: o.expected.failedM, values: o.failedM }, 1 / o.sealedLengthM));
  const total = sumOf([cost, open], years.length, first.draws);
  const once = years.map(() => 1);
  const present = years.map((_, y) => discountFactor(first.discountRatePerYear, y));
  return {
    years,
    cost: overYears(cost, once),
    presentCost: overYears(cost, present),
    presentOpenCost: overYears(open, present),
    presentTotal: overYears(total, present),
    failedLengthYears: overYears(backlog, once),
    backlogAtEndM: inYear(backlog, years.length - 1),
    cheaperShare: shareBelowZero(weighted(total, present).values),
    byYear: years.map((year, y) => ({
      year,
      cost: inYear(cost, y),
      failedShare: inYear(share, y),
      backlogM: inYear(backlog, y),
    })),
  };
}

function within({ expected, values }: YearDraws, from: readonly number[], to: readonly number[]): YearDraws {
  const first = from.indexOf(to[0]);
  const pick = (row: Float64Array) => row.subarray(first, first + to.length);
  const draws = values.length / from.length;
  const kept = new Float64Array(draws * to.length);
  for (let d = 0; d < draws; d++)
    kept.set(pick(values.subarray(d * from.length, (d + 1) * from.length)), d * to.length);
  return { expected: pick(expected), values: kept };
}

const difference = (first: YearDraws, second: YearDraws): YearDraws => ({
  expected: second.expected.map((value, at) => value - first.expected[at]),
  values: second.values.map((value, at) => value - first.values[at]),
});

const scaled = ({ expected, values }: YearDraws, factor: number): YearDraws => ({
  expected: expected.map((value) => value * factor),
  values: values.map((value) => value * factor),
});

const shareBelowZero = (values: Float64Array): number =>
  values.reduce((sum, value) => sum + (value < 0 ? 1 : value === 0 ? 0.5 : 0), 0) / values.length;
