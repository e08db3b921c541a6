import { expect, test } from 'vitest';
import { Decomposition } from '../../../../../analytics/program/solver/decomposition.ts';
import { exactSolve } from '../../../../../analytics/program/solver/exact-solve.ts';
import { planFigures } from '../../../../../analytics/program/solver/plan-figures.ts';
import { rowSet } from '../../../../../analytics/program/solver/row-set.ts';
import { reckon } from './all-plans.ts';
import { randomProgram, randomShape } from './random-programs.ts';

/** HiGHS proves its optimum to this. */
const PROVEN = 1e-4;
/** Mostly small, so that 300 proofs take seconds; one in ten has up to sixty segments. */
const largest = (seed: number) => (seed % 10 === 0 ? 60 : 14);

interface Compared {
  readonly seed: number;
  /** HiGHS's best plan and its bound; null: there is no plan. */ readonly optimum: {
    cost: number;
    bound: number;
  } | null;
  readonly objective: number;
  readonly bound: number;
  readonly feasible: boolean;
  readonly conflictsProven: boolean;
  readonly keepsAll: boolean;
}

async function compare(seed: number): Promise<Compared> {
  const shape = randomShape(seed, largest(seed));
  const problem = randomProgram(
    { ...shape, years: shape.segments > 30 ? Math.min(3, shape.years) : shape.years },
    seed,
  );
  const rows = rowSet(problem);
  const proof = await exactSolve(problem, rows, { elastic: false, most: rows.most, nodes: 2000, gapShare: PROVEN });
  const { state, objective, bound, feasible, conflictsProven } = new Decomposition(problem, rows, {
    gapShare: 0,
    rounds: 60,
  }).run();
  const cost = proof.plan === null ? null : planFigures(problem, rows, proof.plan).objective;
  const optimum = proof.infeasible || cost === null ? null : { cost, bound: proof.bound };
  return {
    seed,
    optimum,
    objective,
    bound,
    feasible,
    conflictsProven,
    keepsAll: reckon(problem, state.plan()).keepsAll,
  };
}

test('300 random programs: feasible where any is, near the proven optimum, and never beyond it', async () => {
  const all: Compared[] = [];
  for (let seed = 0; seed < 300; seed++) all.push(await compare(seed));
  const possible = all.filter(({ optimum }) => optimum !== null);
  expect(possible.length).toBeGreaterThan(150);
  expect(all.filter(({ feasible, keepsAll }) => feasible !== keepsAll)).toEqual([]);
  expect(possible.filter(({ conflictsProven }) => conflictsProven)).toEqual([]);
  expect(all.filter(({ optimum, feasible }) => optimum === null && feasible)).toEqual([]);
  const found = possible.filter(({ feasible }) => feasible);
  expect(possible.length - found.length).toBe(0);
  const gaps = found.map(({ seed, objective, bound, optimum }) => {
    const { cost, bound: proven } = optimum as NonNullable<typeof optimum>;
    const size = Math.max(1, Math.abs(cost));
    return { seed, gap: (objective - cost) / size, better: (proven - objective) / size, above: (bound - cost) / size };
  });
  expect(gaps.filter(({ better }) => better > 1e-6)).toEqual([]);
  expect(gaps.filter(({ above }) => above > 1e-6)).toEqual([]);
  expect(gaps.filter(({ gap }) => gap > 0.03)).toEqual([]);
  const sorted = gaps.map(({ gap }) => gap).sort((a, b) => a - b);
  expect(sorted[Math.floor(sorted.length / 2)]).toBeLessThan(0.01);
}, 300_000);
