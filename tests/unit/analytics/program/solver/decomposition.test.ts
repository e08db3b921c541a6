import { expect, test } from 'vitest';
import { Decomposition } from '../../../../../analytics/program/solver/decomposition.ts';
import { exactSolve } from '../../../../../analytics/program/solver/exact-solve.ts';
import { planFigures } from '../../../../../analytics/program/solver/plan-figures.ts';
import { rowSet } from '../../../../../analytics/program/solver/row-set.ts';
import { bestOfAll, reckon } from './all-plans.ts';
import { randomProgram, randomShape } from './random-programs.ts';

/** HiGHS proves its optimum to this, or ends after so many branches with a bound below it. */
const PROVEN = 1e-4;
const NODES = 60;
/** Mostly small, so that 300 proofs take seconds; one in ten has up to sixty segments, in up to six years. */
const largest = (seed: number) => (seed % 10 === 0 ? 60 : 14);

interface Compared {
  readonly seed: number;
  /** Of HiGHS: its best plan, null where it has none, and what it says no plan can beat. */
  readonly known: { cost: number | null; bound: number; infeasible: boolean };
  readonly objective: number;
  readonly bound: number;
  readonly feasible: boolean;
  readonly conflictsProven: boolean;
  readonly keepsAll: boolean;
}

async function compare(seed: number): Promise<Compared> {
  const problem = randomProgram(randomShape(seed, largest(seed)), seed);
  const rows = rowSet(problem);
  const proof = await exactSolve(problem, rows, {
    elastic: false,
    most: rows.most,
    nodes: NODES,
    gapShare: PROVEN,
  });
  const found = new Decomposition(problem, rows, { gapShare: 0, rounds: 60 }).run();
  const { objective, bound, feasible, conflictsProven } = found;
  const cost = proof.plan === null ? null : planFigures(problem, rows, proof.plan).objective;
  const known = { cost, bound: proof.bound, infeasible: proof.infeasible };
  const { keepsAll } = reckon(problem, found.state.plan());
  return { seed, known, objective, bound, feasible, conflictsProven, keepsAll };
}

test('a program of which a general solver once proved a wrong optimum: as exhaustive search finds', async () => {
  const best = bestOfAll(randomProgram(randomShape(250), 250));
  const { objective, known } = await compare(250);
  expect(objective).toBeCloseTo(best ?? Number.NaN, 6);
  expect(known.cost).toBeCloseTo(best ?? Number.NaN, 6);
});

test('300 random programs: feasible where any is, near the proven optimum, and never beyond it', async () => {
  const all: Compared[] = [];
  for (let seed = 0; seed < 300; seed++) all.push(await compare(seed));
  const possible = all.filter(({ known }) => !known.infeasible);
  expect(possible.length).toBeGreaterThan(150);
  expect(all.filter(({ feasible, keepsAll }) => feasible !== keepsAll)).toEqual([]);
  expect(possible.filter(({ feasible, conflictsProven }) => !feasible || conflictsProven)).toEqual([]);
  expect(all.filter(({ known, feasible }) => known.infeasible && feasible)).toEqual([]);
  const gaps = possible.map(({ seed, objective, bound, known }) => {
    const best = Math.min(objective, known.cost ?? Number.POSITIVE_INFINITY);
    const size = Math.max(1, Math.abs(best));
    return { seed, gap: (objective - known.bound) / size, above: (bound - best) / size };
  });
  expect(gaps.filter(({ gap }) => gap < -1e-6)).toEqual([]);
  expect(gaps.filter(({ above }) => above > 1e-6)).toEqual([]);
  expect(gaps.filter(({ gap }) => gap > 0.03)).toEqual([]);
  const sorted = gaps.map(({ gap }) => gap).sort((a, b) => a - b);
  expect(sorted[Math.floor(sorted.length / 2)]).toBeLessThan(0.01);
}, 300_000);
