import { describe, expect, test } from 'vitest';
import { solveProgram } from '../../../../analytics/program/solve-program.ts';
import { bestOfAll, reckon } from './solver/all-plans.ts';
import { randomProgram, randomShape } from './solver/random-programs.ts';

const OPTIONS = { gapShare: 0, rounds: 60 };

describe('against every plan there is', () => {
  const tiny = Array.from({ length: 60 }, (_, seed) => {
    const shape = {
      ...randomShape(seed, 8),
      segments: 2 + (seed % 2),
      years: seed % 6 === 1 ? 3 : 2,
      classes: 1 + (seed % 2),
    };
    return { seed, problem: randomProgram({ ...shape, facilities: Math.min(2, shape.facilities) }, seed) };
  });
  test.each(tiny)('random program $seed has the least cost that exists', async ({ problem }) => {
    const best = bestOfAll(problem);
    const solution = await solveProgram(problem, OPTIONS);
    const { objective, keepsAll } = reckon(problem, solution.plan);
    expect(solution.objective).toBeCloseTo(objective, 4);
    expect(keepsAll).toBe(best !== null);
    expect(solution.status).toBe(best === null ? 'infeasible' : 'solved');
    expect(solution.conflicts.length > 0).toBe(best === null);
    if (best !== null) expect(Math.abs(objective - best)).toBeLessThanOrEqual(1e-5 * Math.max(1, best));
    if (best !== null) expect(solution.bound).toBeLessThanOrEqual(best * (1 + 1e-9) + 1e-6);
  });
});
