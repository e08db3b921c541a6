import { describe, expect, test } from 'vitest';
import type { ProgramProblem } from '../../../../analytics/program/program-problem.ts';
import { solveProgram } from '../../../../analytics/program/solve-program.ts';
import { Decomposition } from '../../../../analytics/program/solver/decomposition.ts';
import { rowSet } from '../../../../analytics/program/solver/row-set.ts';
import reference from '../../../reference/knapsack/weingartner-ness.json' with { type: 'json' };

// Weingartner and Ness, Operations Research 15 (1967) 83-103; data and optima as in OR-Library, file mknap2.
const instances = reference.sets.flatMap(({ profit, weights, capacities }) =>
  capacities.map(({ name, room, optimum }) => ({ name, profit, weights, room, optimum })),
);

type Instance = (typeof instances)[number];

/**
 * An item is a segment with one year. Its price is its first weight, paid by district 0; it is a facility by itself, whose
 * mobilisation is its second weight, paid by district 1. Left alone it costs its profit and what the work would.
 */
function asProgram({ profit, weights: [first, second], room }: Instance): ProgramProblem {
  const count = profit.length;
  const each = (value: number) => new Int32Array(count).fill(value);
  const own = Int32Array.from({ length: count }, (_, i) => i);
  return {
    count,
    years: 1,
    lengthM: new Float64Array(count).fill(1),
    facility: own,
    district: each(0),
    facilityKind: each(0),
    type: own,
    failedByYearEnd: new Float64Array(count),
    finalCostIfNeverPerM: Float64Array.from(profit, (p, i) => p + first[i] + second[i]),
    work: new Uint8Array(count).fill(1),
    requiredClass: each(-1),
    goneFromYear: each(1),
    types: {
      count,
      classes: 1,
      curve: each(0),
      pricePerM: Float64Array.from(first),
      openCostPerMYear: new Float64Array(count),
      failedByAge: new Float64Array(2),
      oldestAge: 1,
      finalCostPerM: new Float64Array(count * 2),
    },
    facilities: { count, mobilisationCost: Float64Array.from(second), district: each(1) },
    limits: room.map((atMost, district) => ({ of: 'money', year: 0, district, atMost, atLeast: null })),
    targets: [],
    minimumJobM: 0,
    discountRatePerYear: 0,
    objective: 'least-cost',
  };
}

const sum = (values: readonly number[]) => values.reduce((all, x) => all + x, 0);
/** Profit of what a program of this cost takes. */
const profitOf = ({ profit, weights }: Instance, cost: number) =>
  sum(profit) + sum(weights[0]) + sum(weights[1]) - cost;

describe('two-knapsack problems with a known optimum', () => {
  test.each(instances)('$name: the program takes $optimum', async (instance) => {
    const { status, method, objective, bound } = await solveProgram(asProgram(instance), { gapShare: 0, rounds: 100 });
    expect([status, method]).toEqual(['solved', 'exact']);
    expect(profitOf(instance, objective)).toBeCloseTo(instance.optimum, 3);
    expect(profitOf(instance, bound)).toBeGreaterThanOrEqual(instance.optimum - 1e-3);
  });

  test.each(instances)('$name by decomposition alone: within 1 % of it, and the bound never below', (instance) => {
    const problem = asProgram(instance);
    const found = new Decomposition(problem, rowSet(problem), { gapShare: 0, rounds: 100 }).run();
    expect(found.feasible).toBe(true);
    expect(profitOf(instance, found.objective)).toBeLessThanOrEqual(instance.optimum + 1e-3);
    expect(profitOf(instance, found.objective)).toBeGreaterThanOrEqual(0.99 * instance.optimum);
    expect(profitOf(instance, found.bound)).toBeGreaterThanOrEqual(instance.optimum - 1e-3);
  });
});
