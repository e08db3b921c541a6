import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { ProgramProblem } from '../../../../analytics/program/program-problem.ts';
import { solveProgram } from '../../../../analytics/program/solve-program.ts';
import { Decomposition } from '../../../../analytics/program/solver/decomposition.ts';
import { rowSet } from '../../../../analytics/program/solver/row-set.ts';
import { type ProgramShape, randomProgram, randomShape } from './solver/random-programs.ts';

const OPTIONS = { gapShare: 0, rounds: 60 };
const RUNS = { seed: 7, numRuns: 12 };
const seeds = fc.integer({ min: 1000, max: 9999 });

const solve = (problem: ProgramProblem) => solveProgram(problem, OPTIONS);
const decompose = (problem: ProgramProblem) => new Decomposition(problem, rowSet(problem), OPTIONS).run();

/** Small enough for the optimum to be proven. */
const small = (seed: number, shape: Partial<ProgramShape> = {}): ProgramProblem =>
  randomProgram({ ...randomShape(seed, 10), years: 3, classes: 2, ...shape }, seed);

const withBudgets = (problem: ProgramProblem, times: number): ProgramProblem => ({
  ...problem,
  limits: problem.limits.map((limit) => ({ ...limit, atMost: limit.atMost === null ? null : times * limit.atMost })),
});

describe('laws', () => {
  test('more budget never costs more', async () => {
    await fc.assert(
      fc.asyncProperty(seeds, async (seed) => {
        const problem = small(seed, { budgetShare: 0.4, objective: 'least-cost' });
        const [less, more] = [await solve(problem), await solve(withBudgets(problem, 1.25))];
        if (less.status !== 'solved') return;
        expect(more.status).toBe('solved');
        expect(more.objective).toBeLessThanOrEqual(less.objective * (1 + 2e-6));
      }),
      RUNS,
    );
  });

  test('more budget never raises the bound of the decomposition', async () => {
    fc.assert(
      fc.property(seeds, (seed) => {
        const problem = randomProgram(
          { ...randomShape(seed, 40), budgetShare: 0.5, targets: false, floors: false },
          seed,
        );
        const [less, more] = [decompose(problem), decompose(withBudgets(problem, 1.25))];
        if (less.feasible) expect(more.bound).toBeLessThanOrEqual(less.bound + 2e-3 * Math.abs(less.bound));
      }),
      RUNS,
    );
  });

  test('a tighter target never needs less', async () => {
    await fc.assert(
      fc.asyncProperty(seeds, async (seed) => {
        const problem = small(seed, { budgetShare: null, targets: true, objective: 'least-spending', floors: false });
        const targets = problem.targets.map((target) => ({ ...target, atMostShare: 0.9 * target.atMostShare }));
        const [loose, tight] = [await solve(problem), await solve({ ...problem, targets })];
        if (tight.status !== 'solved') return;
        expect(loose.status).toBe('solved');
        expect(tight.objective).toBeGreaterThanOrEqual(loose.objective * (1 - 2e-6));
      }),
      RUNS,
    );
  });

  test('scaling all money scales the answer', async () => {
    await fc.assert(
      fc.asyncProperty(seeds, fc.constantFrom(1e-3, 7, 1e5), async (seed, times) => {
        const problem = small(seed);
        const [once, scaled] = [await solve(problem), await solve(scaleMoney(problem, times))];
        expect(scaled.status).toBe(once.status);
        if (once.status !== 'solved') return;
        expect(Math.abs(scaled.objective / times - once.objective)).toBeLessThanOrEqual(
          2e-6 * Math.abs(once.objective),
        );
        const [plain, large] = [decompose(problem), decompose(scaleMoney(problem, 1024))];
        expect(Math.abs(large.bound / 1024 - plain.bound)).toBeLessThanOrEqual(1e-6 * Math.abs(plain.bound));
      }),
      RUNS,
    );
  });

  test('the order of segments does not matter', async () => {
    await fc.assert(
      fc.asyncProperty(seeds, async (seed) => {
        const problem = randomProgram({ ...randomShape(seed, 30), minimumJob: false }, seed);
        const [given, turned] = [decompose(problem), decompose(reversed(problem))];
        expect(turned.feasible).toBe(given.feasible);
        expect(Math.abs(turned.objective - given.objective)).toBeLessThanOrEqual(1e-9 * Math.abs(given.objective));
        expect(Math.abs(turned.bound - given.bound)).toBeLessThanOrEqual(1e-9 * Math.abs(given.bound));
      }),
      RUNS,
    );
  });

  test('the same problem gives the same program', async () => {
    const problem = randomProgram(randomShape(4242, 40), 4242);
    const [first, second] = [await solve(problem), await solve(problem)];
    expect(second).toEqual(first);
  });
});

function scaleMoney(problem: ProgramProblem, times: number): ProgramProblem {
  const scaled = (values: Float64Array) => values.map((value) => value * times);
  const { types, facilities, limits } = problem;
  const bound = (value: number | null) => (value === null ? null : value * times);
  return {
    ...problem,
    finalCostIfNeverPerM: scaled(problem.finalCostIfNeverPerM),
    types: {
      ...types,
      pricePerM: scaled(types.pricePerM),
      openCostPerMYear: scaled(types.openCostPerMYear),
      finalCostPerM: scaled(types.finalCostPerM),
    },
    facilities: { ...facilities, mobilisationCost: scaled(facilities.mobilisationCost) },
    limits: limits.map((limit) =>
      limit.of === 'money' ? { ...limit, atMost: bound(limit.atMost), atLeast: bound(limit.atLeast) } : limit,
    ),
  };
}

/** The same segments, last first. */
function reversed(problem: ProgramProblem): ProgramProblem {
  const { count, years } = problem;
  const rows = <T extends Float64Array | Uint8Array>(values: T): T => {
    const out = values.slice() as T;
    for (let i = 0; i < count; i++) out.set(values.subarray((count - 1 - i) * years, (count - i) * years), i * years);
    return out;
  };
  return {
    ...problem,
    lengthM: problem.lengthM.slice().reverse(),
    facility: problem.facility.slice().reverse(),
    district: problem.district.slice().reverse(),
    facilityKind: problem.facilityKind.slice().reverse(),
    type: problem.type.slice().reverse(),
    failedByYearEnd: rows(problem.failedByYearEnd),
    finalCostIfNeverPerM: problem.finalCostIfNeverPerM.slice().reverse(),
    work: rows(problem.work),
    requiredClass: problem.requiredClass.slice().reverse(),
    goneFromYear: problem.goneFromYear.slice().reverse(),
  };
}
