import { expect, test } from 'vitest';
import { seededRandom } from '../../../../../analytics/numeric/seeded-normals.ts';
import { networkLayout } from '../../../../../analytics/program/solver/network-layout.ts';
import { PathTables } from '../../../../../analytics/program/solver/path-tables.ts';
import { planFigures } from '../../../../../analytics/program/solver/plan-figures.ts';
import { PlanState } from '../../../../../analytics/program/solver/plan-state.ts';
import { cellPricesInto, emptyUsage, rowSet, rowUsageInto } from '../../../../../analytics/program/solver/row-set.ts';
import { reckon } from './all-plans.ts';
import { randomProgram, randomShape } from './random-programs.ts';

const seeds = Array.from({ length: 30 }, (_, seed) => seed);

/** Any plan, whether it may be or not. */
function anyPlan(seed: number) {
  const problem = randomProgram({ ...randomShape(seed, 20), floors: true, targets: true }, seed);
  const rows = rowSet(problem);
  const { uniform } = seededRandom(seed + 1);
  const tables = new PathTables(problem, networkLayout(problem, rows), rows, emptyUsage(rows.cells));
  const state = new PlanState(tables);
  const classes = new Int8Array(problem.years);
  for (let p = 0; p < problem.count; p++) {
    for (let t = 0; t < problem.years; t++) {
      const gone = t >= problem.goneFromYear[tables.layout.order[p]];
      classes[t] = uniform() < 0.3 && !gone ? Math.floor(uniform() * problem.types.classes) : -1;
    }
    state.set(p, classes);
  }
  return { problem, rows, state };
}

test.each(seeds)('plan %i: figures kept on the way agree with a plain reckoning', (seed) => {
  const { problem, rows, state } = anyPlan(seed);
  const plan = state.plan();
  const figures = planFigures(problem, rows, plan);
  expect(figures.objective / reckon(problem, plan).objective).toBeCloseTo(1, 9);
  expect(state.objective() / figures.objective).toBeCloseTo(1, 9);
  for (let r = 0; r < rows.count; r++) expect(state.used[r]).toBeCloseTo(figures.used[r], 4);
});

test.each(seeds.slice(0, 10))('prices %i: worth of usage by cell is worth of usage by row', (seed) => {
  const { rows } = anyPlan(seed);
  const { uniform } = seededRandom(seed);
  const usage = emptyUsage(rows.cells);
  for (const cells of [usage.money, usage.length, usage.failed])
    for (let k = 0; k < cells.length; k++) cells[k] = uniform();
  const prices = Float64Array.from({ length: rows.count }, () => uniform());
  const [byCell, used] = [emptyUsage(rows.cells), new Float64Array(rows.count)];
  cellPricesInto(byCell, rows, prices);
  rowUsageInto(used, rows, usage);
  const dot = (a: Float64Array, b: Float64Array) => a.reduce((sum, x, k) => sum + x * b[k], 0);
  const cells = dot(usage.money, byCell.money) + dot(usage.length, byCell.length) + dot(usage.failed, byCell.failed);
  expect(cells).toBeCloseTo(dot(used, prices), 6);
});
