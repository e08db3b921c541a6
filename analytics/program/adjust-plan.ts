import { indexPlan, worksOf } from './plan-index.ts';
import { type ProgramPlan, type ProgramProblem, WORK } from './program-problem.ts';
import { PlanImprovement } from './solver/improve-plan.ts';
import { networkLayout } from './solver/network-layout.ts';
import { PathTables } from './solver/path-tables.ts';
import { NO_WORK, PlanState } from './solver/plan-state.ts';
import { PlanRepair } from './solver/repair-plan.ts';
import { cellPricesInto, emptyUsage, type RowSet, rowPrices, rowSet } from './solver/row-set.ts';
import { SegmentResponse } from './solver/segment-response.ts';

export interface AdjustedPlan {
  readonly plan: ProgramPlan;
  readonly objective: number;
  /** Whether it keeps all bounds. */ readonly feasible: boolean;
}

const PASSES = 12;

/**
 * A plan that was made for a problem like this one, put right for this one with little else changed: segments whose years are
 * now barred or required take their cheapest path beside the others, then bounds are repaired and what is left is used. For
 * the cost of a few choices it says more than two searches, each of which ends somewhere within its gap.
 * @param near a plan of the same segments and classes
 * @param prices of the bounds, as `ProgramSolution.rowPrices`
 */
export function adjustPlan(
  problem: ProgramProblem,
  near: ProgramPlan,
  prices: Float64Array,
  cancelled: () => boolean = () => false,
): AdjustedPlan {
  const rows = rowSet(problem);
  const layout = networkLayout(problem, rows);
  const tables = new PathTables(problem, layout, rows, emptyUsage(rows.cells));
  const state = new PlanState(tables);
  const ofRows = rowPrices(problem, rows, prices);
  takePlan(state, near);
  putRight(state, rows, ofRows);
  const feasible = new PlanRepair(state).run(ofRows, cancelled);
  if (feasible) new PlanImprovement(state).run(ofRows, PASSES, cancelled);
  return { plan: state.plan(), objective: state.objective(), feasible };
}

function takePlan(state: PlanState, near: ProgramPlan): void {
  const { problem, layout } = state.tables;
  const index = indexPlan(near, problem.count);
  const classes = new Int8Array(problem.years);
  for (let p = 0; p < problem.count; p++) {
    const works = worksOf(index, layout.order[p]);
    if (works.length === 0) continue;
    classes.fill(NO_WORK);
    for (const { year, sealantClass } of works) classes[year] = sealantClass;
    state.set(p, classes);
  }
}

/** Segments that break a rule of their own change to the cheapest path that keeps it, bounds left to the repair. */
function putRight(state: PlanState, rows: RowSet, prices: Float64Array): void {
  const { count } = state.tables.problem;
  const usage = emptyUsage(rows.cells);
  cellPricesInto(usage, rows, prices);
  const response = new SegmentResponse(state.tables.withPrices(usage), state);
  for (let p = 0; p < count; p++)
    if (breaksRule(state, p) && response.find(p, { force: -1, bar: -1, soft: true })) state.set(p, response.classes);
}

function breaksRule({ work: planned, tables: { problem, layout } }: PlanState, p: number): boolean {
  const { years, work, requiredClass } = problem;
  const i = layout.order[p];
  for (let t = 0; t < years; t++) {
    const [right, now] = [work[i * years + t], planned[p * years + t]];
    if (right === WORK.barred && now !== NO_WORK) return true;
    if (right !== WORK.required) continue;
    if (now === NO_WORK || (requiredClass[i] >= 0 && now !== requiredClass[i])) return true;
  }
  return false;
}
