import { describe, expect, test } from 'vitest';
import { nothingPlan, worstFirstPlan } from '../../../../analytics/program/baselines.ts';
import { programProblem } from '../../../../analytics/program/build-problem.ts';
import { comparePrograms } from '../../../../analytics/program/compare-programs.ts';
import { evaluateProgram } from '../../../../analytics/program/evaluate-program.ts';
import { planChanges } from '../../../../analytics/program/plan-changes.ts';
import type { ProgramPlan } from '../../../../analytics/program/program-problem.ts';
import { inventedNetwork, TERMS } from './invented-network.ts';

const { input, sample } = inventedNetwork({ draws: 200 });
const problem = programProblem(input);
const [nothing, worst] = [nothingPlan(problem), worstFirstPlan(problem)].map((plan) =>
  evaluateProgram(problem, plan, sample, TERMS),
);

describe('two programs', () => {
  test('a program and itself differ in nothing', () => {
    const { presentTotal, failedLengthYears, cheaperShare, byYear } = comparePrograms(worst.draws, worst.draws);
    const zero = { expected: 0, median: 0, lower: 0, upper: 0 };
    expect([presentTotal, failedLengthYears, byYear[3].failedShare]).toEqual([zero, zero, zero]);
    expect(cheaperShare).toBe(0.5);
  });

  test('against nothing the cost of work is all of its cost, and turning them round turns the signs', () => {
    const there = comparePrograms(nothing.draws, worst.draws);
    const back = comparePrograms(worst.draws, nothing.draws);
    expect(there.presentCost).toEqual(worst.totals.presentCost);
    expect(there.backlogAtEndM.median).toBeCloseTo(-back.backlogAtEndM.median, 9);
    expect(there.presentTotal.lower).toBeCloseTo(-back.presentTotal.upper, 6);
    expect(there.cheaperShare).toBeCloseTo(1 - back.cheaperShare, 12);
    expect(there.failedLengthYears.expected).toBeCloseTo(
      worst.totals.failedLengthYears.expected - nothing.totals.failedLengthYears.expected,
      6,
    );
  });

  test('shared luck makes the interval of the difference narrower than luck apart would', () => {
    const near = evaluateProgram(problem, worstFirstPlan(problem, 0.45), sample, TERMS);
    const apart = evaluateProgram(problem, worstFirstPlan(problem, 0.45), { ...sample, seed: 99 }, TERMS);
    const width = (draws: typeof near.draws) => {
      const { upper, lower } = comparePrograms(worst.draws, draws).failedLengthYears;
      return upper - lower;
    };
    expect(width(near.draws)).toBeLessThan(width(apart.draws));
  });

  test('only years in common are compared', () => {
    const shifted = { ...worst.draws, years: worst.draws.years.map((year) => year + 3) };
    const { years, byYear } = comparePrograms(worst.draws, shifted);
    expect([years[0], years.length, byYear.length]).toEqual([2029, 9, 9]);
    expect(byYear[0].cost.expected).toBeCloseTo(worst.network[0].cost.expected - worst.network[3].cost.expected, 6);
    const later = { ...shifted, years: shifted.years.map((year) => year + 20) };
    expect(() => comparePrograms(worst.draws, later)).toThrow(/no year in common/);
    expect(() => comparePrograms(worst.draws, { ...worst.draws, draws: 5 })).toThrow(/draws are 200 and 5/);
  });
});

describe('what changed between two plans', () => {
  const plan = (...works: (readonly [segment: number, year: number, sealantClass: number])[]): ProgramPlan => ({
    segment: Int32Array.from(works, ([i]) => i),
    year: Int32Array.from(works, ([, year]) => year),
    sealantClass: Int32Array.from(works, ([, , c]) => c),
  });

  test('added, dropped, moved, other class, and nothing where nothing did', () => {
    const before = plan([4, 9, 1], [0, 2, 0], [1, 3, 0], [2, 5, 1], [4, 1, 1]);
    const after = plan([0, 2, 0], [2, 5, 2], [3, 7, 0], [4, 1, 1], [4, 11, 0]);
    expect(planChanges(before, after, 5)).toEqual([
      { segment: 1, kind: 'dropped', before: { year: 3, sealantClass: 0 }, after: null },
      { segment: 2, kind: 'other-class', before: { year: 5, sealantClass: 1 }, after: { year: 5, sealantClass: 2 } },
      { segment: 3, kind: 'added', before: null, after: { year: 7, sealantClass: 0 } },
      { segment: 4, kind: 'moved', before: { year: 9, sealantClass: 1 }, after: { year: 11, sealantClass: 0 } },
    ]);
    expect(planChanges(before, before, 5)).toEqual([]);
  });

  test('two works of a segment in one year, or of no segment, are no plan', () => {
    expect(() => planChanges(plan([1, 3, 0], [1, 3, 1]), plan(), 5)).toThrow(/Segment 1 has two works in year 3/);
    expect(() => planChanges(plan([5, 3, 0]), plan(), 5)).toThrow(/segment is 5; expected 0 to 4/);
  });
});
