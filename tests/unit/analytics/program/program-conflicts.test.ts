import { describe, expect, test } from 'vitest';
import type { ProgramProblem } from '../../../../analytics/program/program-problem.ts';
import { solveProgram } from '../../../../analytics/program/solve-program.ts';

const OPTIONS = { gapShare: 0, rounds: 60 };

/** Alike segments of 100 m, failed with chance 0.9, at 5 a metre. */
function alike(count: number, change: Partial<ProgramProblem>): ProgramProblem {
  const years = 4;
  const each = (value: number) => new Int32Array(count).fill(value);
  return {
    count,
    years,
    lengthM: new Float64Array(count).fill(100),
    facility: Int32Array.from({ length: count }, (_, i) => i % 10),
    district: each(0),
    facilityKind: each(0),
    type: each(0),
    failedByYearEnd: new Float64Array(count * years).fill(0.9),
    finalCostIfNeverPerM: new Float64Array(count).fill(1),
    work: new Uint8Array(count * years).fill(1),
    requiredClass: each(-1),
    goneFromYear: each(years),
    types: {
      count: 1,
      classes: 1,
      curve: new Int32Array(1),
      pricePerM: Float64Array.of(5),
      openCostPerMYear: Float64Array.of(1),
      failedByAge: new Float64Array(years + 1),
      oldestAge: years,
      finalCostPerM: new Float64Array(years + 1).fill(0.5),
    },
    facilities: { count: 10, mobilisationCost: new Float64Array(10).fill(40), district: new Int32Array(10) },
    limits: [],
    targets: [],
    minimumJobM: 0,
    discountRatePerYear: 0,
    objective: 'least-cost',
    ...change,
  };
}

// 20 segments are solved to the optimum, 3,000 by prices.
describe.each([20, 3000])('%i segments that cannot keep their bounds', (count) => {
  test('committed work over a ceiling: the row, what it comes to, and the work is in the program', async () => {
    const work = new Uint8Array(count * 4).fill(1);
    for (let i = 0; i < count / 2; i++) work[i * 4 + 1] = 2;
    const committed = (count / 2) * 500 + 10 * 40; // 500 a segment; every facility has some of them
    const atMost = 0.6 * committed;
    const limits = [{ of: 'money', year: 1, district: null, atMost, atLeast: null } as const];
    const solution = await solveProgram(alike(count, { work, limits }), OPTIONS);
    expect([solution.status, solution.conflictsProven, solution.gapShare]).toEqual(['infeasible', true, null]);
    expect(solution.conflicts).toHaveLength(1);
    expect(solution.conflicts[0]).toMatchObject({ row: 0, in: 'limits' });
    expect(solution.conflicts[0].asked).toBeCloseTo(atMost, 6);
    expect(solution.conflicts[0].reachable / committed).toBeCloseTo(1, 6);
    const done = [...solution.plan.year.keys()].filter((w) => solution.plan.year[w] === 1);
    expect(done.length).toBe(count / 2);
  });

  test('a target out of reach though all be resealed as early as it may', async () => {
    const work = new Uint8Array(count * 4).fill(1);
    for (let i = 0; i < count / 4; i++) work.fill(0, i * 4, i * 4 + 4);
    const targets = [{ scope: 'network', index: 0, year: 2, atMostShare: 0.1 } as const];
    const solution = await solveProgram(alike(count, { work, targets }), OPTIONS);
    expect([solution.status, solution.conflictsProven]).toEqual(['infeasible', true]);
    expect(solution.conflicts).toHaveLength(1);
    expect(solution.conflicts[0]).toMatchObject({ row: 0, in: 'targets', asked: 0.1 });
    expect(solution.conflicts[0].reachable).toBeCloseTo(0.9 / 4, 6); // the barred quarter
  });

  test('a floor above all that there is to spend on', async () => {
    const most = count * 500 + 10 * 40;
    const limits = [{ of: 'money', year: 0, district: null, atMost: null, atLeast: 2 * most } as const];
    const solution = await solveProgram(alike(count, { limits }), OPTIONS);
    expect([solution.status, solution.conflictsProven]).toEqual(['infeasible', true]);
    expect(solution.conflicts[0].reachable / most).toBeCloseTo(1, 6);
  });

  test('a target that the budgets do not reach: one of the rows, and no empty program', async () => {
    const year = (t: number) => ({ of: 'money', year: t, district: null, atMost: count * 50, atLeast: null }) as const;
    const targets = [{ scope: 'network', index: 0, year: 3, atMostShare: 0.1 } as const];
    const solution = await solveProgram(alike(count, { limits: [0, 1, 2, 3].map(year), targets }), OPTIONS);
    expect([solution.status, solution.conflictsProven]).toEqual(['infeasible', true]);
    expect(solution.conflicts.length).toBeGreaterThan(0);
    expect(solution.plan.segment.length).toBeGreaterThan(0);
  });
});

test('a search that is cancelled answers with the best so far', async () => {
  let calls = 0;
  const limits = [{ of: 'money', year: 0, district: null, atMost: 100_000, atLeast: null } as const];
  const finalCostIfNeverPerM = new Float64Array(3000).fill(10);
  const problem = alike(3000, { limits, finalCostIfNeverPerM });
  const solution = await solveProgram(problem, { ...OPTIONS, cancelled: () => ++calls > 3 });
  expect(solution.status).toBe('stopped');
  expect(solution.plan.segment.length).toBeGreaterThan(0);
  expect(solution.bound).toBeLessThanOrEqual(solution.objective);
});

test('progress never goes back, and its bound never falls', async () => {
  const seen: { shareDone: number; bound: number }[] = [];
  const limits = [{ of: 'money', year: 0, district: null, atMost: 100_000, atLeast: null } as const];
  const finalCostIfNeverPerM = new Float64Array(3000).fill(10);
  const problem = alike(3000, { limits, finalCostIfNeverPerM });
  await solveProgram(problem, { ...OPTIONS, progress: (now) => seen.push(now) });
  expect(seen.length).toBeGreaterThan(3);
  for (let k = 1; k < seen.length; k++) {
    expect(seen[k].shareDone).toBeGreaterThanOrEqual(seen[k - 1].shareDone);
    expect(seen[k].bound).toBeGreaterThanOrEqual(seen[k - 1].bound);
  }
});

test('a problem that cannot be reckoned is refused by name', async () => {
  const bad = alike(20, { lengthM: new Float64Array(20) });
  await expect(solveProgram(bad, OPTIONS)).rejects.toThrow('lengthM of segment 0 is 0; allowed: above 0');
  const short = alike(20, { work: new Uint8Array(79) });
  await expect(solveProgram(short, OPTIONS)).rejects.toThrow('length of work is 79; allowed: 80');
});
