import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  allNeedsMetPlan,
  fixedCyclePlan,
  nothingPlan,
  worstFirstPlan,
} from '../../../../analytics/program/baselines.ts';
import { programProblem } from '../../../../analytics/program/build-problem.ts';
import { facilityYearLengths, limitUses, planCost } from '../../../../analytics/program/plan-cost.ts';
import { indexPlan, worksOf } from '../../../../analytics/program/plan-index.ts';
import type { ProgramLimit, ProgramPlan, ProgramProblem } from '../../../../analytics/program/program-problem.ts';
import { failedChance, segmentCost, totalOf } from '../../../../analytics/program/segment-cost.ts';
import { inventedNetwork } from './invented-network.ts';

const yearly = (limit: Omit<ProgramLimit, 'year'>, years = 12): ProgramLimit[] =>
  Array.from({ length: years }, (_, year) => ({ ...limit, year }));
const money = (atMost: number, district: number | null = null): ProgramLimit[] =>
  yearly({ of: 'money', district, atMost, atLeast: null });
const planWorks = (plan: ProgramPlan, problem: ProgramProblem) => {
  const index = indexPlan(plan, problem.count);
  return Array.from({ length: problem.count }, (_, i) => worksOf(index, i));
};

describe('nothing', () => {
  test('has no work and no spending', () => {
    const problem = programProblem(inventedNetwork().input);
    const plan = nothingPlan(problem);
    expect(plan.segment.length).toBe(0);
    expect(planCost(problem, plan)).toMatchObject({ work: 0, mobilisation: 0 });
  });

  test('but settled work, in the cheapest class unless one is settled too', () => {
    const required = [
      { segment: 2, year: 4, sealantClass: 1 },
      { segment: 9, year: 0, sealantClass: -1 },
    ];
    const plan = nothingPlan(programProblem(inventedNetwork({ required }).input));
    expect([[...plan.segment], [...plan.year], plan.sealantClass[0]]).toEqual([[2, 9], [4, 0], 1]);
  });
});

describe('worst first', () => {
  test('without limits each segment is resealed as soon as it has more likely failed than not', () => {
    const problem = programProblem(inventedNetwork().input);
    planWorks(worstFirstPlan(problem), problem).forEach((works, i) => {
      for (let year = 0; year < 12; year++) {
        const last = works.filter((work) => work.year < year).at(-1) ?? null;
        const open = problem.work[i * 12 + year] > 0;
        const due = open && failedChance(problem, i, year, last) >= 0.5;
        expect(works.some((work) => work.year === year)).toBe(due);
      }
    });
  });

  test('keeps every upper bound, and leaves out only what no longer fitted', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 99 }), fc.integer({ min: 500, max: 9000 }), (seed, atMost) => {
        const limits = [
          ...money(atMost),
          ...money(0.6 * atMost, 1),
          ...yearly({ of: 'length', district: 0, atMost: 700, atLeast: null }),
        ];
        const problem = programProblem(inventedNetwork({ seed, draws: 5, limits }).input);
        const plan = worstFirstPlan(problem);
        for (const { missedBy } of limitUses(problem, plan)) expect(missedBy).toBe(0);
        expect(plan.segment.length).toBeLessThanOrEqual(worstFirstPlan({ ...problem, limits: [] }).segment.length);
      }),
      { seed: 6, numRuns: 20 },
    );
  });

  test('the greatest expected failed length goes first', () => {
    const { input } = inventedNetwork();
    const free = programProblem(input);
    const rank = (i: number) => free.failedByYearEnd[i * 12] * free.lengthM[i];
    const due = [...free.lengthM.keys()].filter((i) => free.failedByYearEnd[i * 12] >= 0.5 && free.work[i * 12] === 1);
    const [first] = due.sort((a, b) => rank(b) - rank(a));
    const limits = yearly({ of: 'length', district: null, atMost: free.lengthM[first] + 1, atLeast: null });
    const plan = worstFirstPlan({ ...free, limits });
    expect([...plan.segment].filter((_, at) => plan.year[at] === 0)).toEqual([first]);
  });

  test('a job is as long as the least one, or takes in all that may be worked at the facility', () => {
    const problem = programProblem(inventedNetwork({ minimumJobM: 600, limits: money(12_000) }).input);
    const plan = worstFirstPlan(problem);
    expect(plan.segment.length).toBeGreaterThan(0);
    facilityYearLengths(problem, plan).forEach((lengthM, at) => {
      const [facility, year] = [Math.floor(at / 12), at % 12];
      const open = problem.lengthM.reduce(
        (sum, m, i) => (problem.facility[i] === facility && problem.work[i * 12 + year] > 0 ? sum + m : sum),
        0,
      );
      if (lengthM > 0) expect(lengthM).toBeGreaterThanOrEqual(Math.min(600, open) - 1e-9);
    });
  });
});

describe('fixed cycle', () => {
  const { input, classInPlace } = inventedNetwork();
  const problem = programProblem({ ...input, replacedInYear: input.replacedInYear.map(() => -1) });
  const { ageYears } = input.inPlace;

  test('without limits: overdue seals at once, others when they come of age, then every ten years', () => {
    const works = planWorks(fixedCyclePlan(problem, { cycleYears: [10, 10, 10], classInPlace, ageYears }), problem);
    works.forEach((list, i) => {
      const first = Math.max(0, Math.ceil(10 - ageYears[i]));
      expect(list.map(({ year }) => year)).toEqual([first, first + 10].filter((year) => year < 12));
    });
  });

  test('a cycle of its own for each class, and the published one for a class that is not among them', () => {
    const unknown = classInPlace.map((c) => (c === 0 ? -1 : c));
    const works = planWorks(
      fixedCyclePlan(problem, { cycleYears: [40, 40, 40], classInPlace: unknown, ageYears }),
      problem,
    );
    works.forEach((list, i) => {
      expect(list.length).toBe(unknown[i] === -1 ? 1 : 0);
    });
  });

  test('the longest overdue first where money is short', () => {
    const plan = fixedCyclePlan({ ...problem, limits: money(3000) }, { cycleYears: [5, 5, 5], classInPlace, ageYears });
    const oldest = [...ageYears.keys()].sort((a, b) => ageYears[b] - ageYears[a])[0];
    expect(plan.segment[[...plan.year].indexOf(0)]).toBeDefined();
    expect([...plan.segment].filter((_, at) => plan.year[at] === 0)).toContain(oldest);
    for (const { missedBy } of limitUses({ ...problem, limits: money(3000) }, plan)) expect(missedBy).toBe(0);
  });
});

test('all needs met: no other plan costs a segment less, so none of the rules does', () => {
  const { input, classInPlace } = inventedNetwork();
  const problem = programProblem(input);
  const costOf = (plan: ProgramPlan) =>
    planWorks(plan, problem).map((works, i) => totalOf(segmentCost(problem, i, works)));
  const best = costOf(allNeedsMetPlan(problem));
  const { ageYears } = input.inPlace;
  const rules = [
    nothingPlan(problem),
    worstFirstPlan(problem),
    fixedCyclePlan(problem, { cycleYears: [10, 10, 10], classInPlace, ageYears }),
  ];
  for (const rule of rules)
    costOf(rule).forEach((cost, i) => {
      expect(cost).toBeGreaterThanOrEqual(best[i] - 1e-6);
    });
});

test('the use of a limit counts mobilisation in the district that pays for it, and names what is missed', () => {
  const { input } = inventedNetwork();
  const limits: ProgramLimit[] = [
    { of: 'money', year: 2, district: null, atMost: 100, atLeast: null },
    { of: 'money', year: 2, district: 1 - (input.facility[0] % 2), atMost: null, atLeast: 50 },
    { of: 'length', year: 2, district: input.district[0], atMost: 1e6, atLeast: null },
    { of: 'money', year: 3, district: null, atMost: 0, atLeast: null },
  ];
  const problem = programProblem({ ...input, limits });
  const plan = { segment: Int32Array.of(0), year: Int32Array.of(2), sealantClass: Int32Array.of(1) };
  const spent = 6.5 * input.lengthM[0] + input.facilities.mobilisationCost[input.facility[0]];
  const uses = limitUses(problem, plan);
  expect(uses.map(({ used }) => used)).toEqual([spent, 0, input.lengthM[0], 0]);
  expect(uses.map(({ missedBy }) => missedBy)).toEqual([spent - 100, 50, 0, 0]);
  expect(uses.map(({ usedShare }) => usedShare)).toEqual([spent / 100, null, input.lengthM[0] / 1e6, null]);
});
