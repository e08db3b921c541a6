import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { programProblem } from '../../../../analytics/program/build-problem.ts';
import { CheapestWorks } from '../../../../analytics/program/cheapest-works.ts';
import type { PlannedWork } from '../../../../analytics/program/program-comparison.ts';
import { type ProgramProblem, WORK } from '../../../../analytics/program/program-problem.ts';
import { segmentCost, totalOf } from '../../../../analytics/program/segment-cost.ts';
import { inventedNetwork } from './invented-network.ts';
import { small } from './small-problem.ts';

describe('the cost of a segment, by hand', () => {
  test('never resealed: open 4 x (0.5 + 0.7 / 1.25 + 0.9 / 1.5625), then 20, times 100 m', () => {
    const cost = segmentCost(small, 0, []);
    expect(cost.work).toBe(0);
    expect(cost.open).toBeCloseTo(400 * (0.5 + 0.56 + 0.576), 9);
    expect(cost.after).toBe(2000);
  });

  test('resealed in year 1: open in year 0, price a year on, then a seal of age 1 at the end', () => {
    const cost = segmentCost(small, 0, [{ year: 1, sealantClass: 0 }]);
    expect(cost.work).toBeCloseTo(500 / 1.25, 9);
    expect(cost.open).toBeCloseTo(400 * (0.5 + 0.1 / 1.5625), 9);
    expect(cost.after).toBeCloseTo(1000 / 1.5625, 9);
  });

  test('gone from year 1: nothing is open then and nothing follows', () => {
    const gone = { ...small, goneFromYear: Int32Array.of(1) };
    expect(segmentCost(gone, 0, [])).toEqual({ work: 0, open: 200, after: 0 });
  });
});

describe('the cheapest works of a segment', () => {
  const everyPlan = (problem: ProgramProblem, i: number, year = 0): PlannedWork[][] => {
    if (year === problem.years) return [[]];
    const later = everyPlan(problem, i, year + 1);
    const may = problem.work[i * problem.years + year];
    const { classes, curve } = problem.types;
    const allowed = Array.from({ length: classes }, (_, c) => c).filter(
      (c) => curve[problem.type[i] * classes + c] >= 0,
    );
    const settled = may === WORK.required && problem.requiredClass[i] >= 0 ? [problem.requiredClass[i]] : allowed;
    const withWork = settled.flatMap((sealantClass) => later.map((rest) => [{ year, sealantClass }, ...rest]));
    return may === WORK.barred ? later : may === WORK.required ? withWork : [...later, ...withWork];
  };

  test('cost what the best of all plans costs, whatever is barred, settled or gone', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 1000 }), fc.constantFrom(0, 0.04, 0.1), (seed, rate) => {
        const { input } = inventedNetwork({
          ...{ seed, count: 12, years: 5, draws: 5, discountRatePerYear: rate },
          required: [{ segment: 2, year: 3, sealantClass: 1 }],
          barred: [{ segment: 4, fromYear: 1, toYear: 2 }],
        });
        const problem = programProblem({
          ...input,
          replacedInYear: input.replacedInYear.map((_, i) => (i === 7 ? 4 : -1)),
        });
        const cheapest = new CheapestWorks(problem);
        for (let i = 0; i < problem.count; i++) {
          const costs = everyPlan(problem, i).map((works) => totalOf(segmentCost(problem, i, works)));
          const found = totalOf(segmentCost(problem, i, cheapest.of(i)));
          expect(Math.abs(found - Math.min(...costs))).toBeLessThan(1e-6 * Math.max(1, Math.abs(found)));
        }
      }),
      { seed: 2, numRuns: 12 },
    );
  });

  test('settled work is among them in its class', () => {
    const { input } = inventedNetwork({ required: [{ segment: 2, year: 0, sealantClass: 1 }] });
    expect(new CheapestWorks(programProblem(input)).of(2)[0]).toEqual({ year: 0, sealantClass: 1 });
  });
});
