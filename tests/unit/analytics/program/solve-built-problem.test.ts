import { describe, expect, test } from 'vitest';
import { allNeedsMetPlan, nothingPlan, worstFirstPlan } from '../../../../analytics/program/baselines.ts';
import { programProblem } from '../../../../analytics/program/build-problem.ts';
import { evaluateProgram } from '../../../../analytics/program/evaluate-program.ts';
import { limitUses, planCost } from '../../../../analytics/program/plan-cost.ts';
import type { ProgramInput } from '../../../../analytics/program/program-input.ts';
import type { ProgramLimit } from '../../../../analytics/program/program-problem.ts';
import { solveProgram } from '../../../../analytics/program/solve-program.ts';
import { inventedNetwork, TERMS } from './invented-network.ts';

const OPTIONS = { gapShare: 0, rounds: 60 };
const years = 8;
const money = (atMost: number): ProgramLimit[] =>
  Array.from({ length: years }, (_, year) => ({ of: 'money', year, district: null, atMost, atLeast: null }));
const made = (change: Partial<ProgramInput> = {}) => {
  const { input, sample } = inventedNetwork({ count: 30, years, draws: 20 });
  return { problem: programProblem({ ...input, ...change }), sample };
};

describe('a problem made from a network, solved', () => {
  test('the solver and the sums of this folder agree on every cost and limit', async () => {
    const { problem, sample } = made({ limits: money(4000), required: [{ segment: 2, year: 3, sealantClass: 1 }] });
    const { plan, objective, bound, status } = await solveProgram(problem, OPTIONS);
    expect(status).toBe('solved');
    expect(bound).toBeLessThanOrEqual(objective);
    expect(Math.abs(objective / planCost(problem, plan).objective - 1)).toBeLessThan(1e-9);
    for (const { missedBy } of limitUses(problem, plan)) expect(missedBy).toBe(0);
    const { totals } = evaluateProgram(problem, plan, sample, TERMS);
    const sum = totals.presentTotal.expected + totals.presentAfterHorizon;
    expect(Math.abs(sum / objective - 1)).toBeLessThan(1e-9);
  });

  test('no rule that keeps the limits beats its bound', async () => {
    const { problem } = made({ limits: money(4000) });
    const { bound, objective } = await solveProgram(problem, OPTIONS);
    for (const plan of [nothingPlan(problem), worstFirstPlan(problem), worstFirstPlan(problem, 0.3)]) {
      expect(planCost(problem, plan).objective).toBeGreaterThanOrEqual(bound - 1e-6);
      expect(planCost(problem, plan).objective).toBeGreaterThanOrEqual(objective * (1 - 1e-6));
    }
  });

  test('without limits and mobilisation it is what all needs met comes to, discounted or not', async () => {
    const { facilities } = made().problem;
    const free = { ...facilities, mobilisationCost: new Float64Array(facilities.count) };
    for (const discountRatePerYear of [0, 0.04]) {
      const { problem } = made({ facilities: free, discountRatePerYear });
      const { objective } = await solveProgram(problem, OPTIONS);
      expect(Math.abs(objective / planCost(problem, allNeedsMetPlan(problem)).objective - 1)).toBeLessThan(1e-6);
    }
  });
});
