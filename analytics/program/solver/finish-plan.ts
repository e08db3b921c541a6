import { EdgeRepair } from './edge-repair.ts';
import { PlanImprovement } from './improve-plan.ts';
import type { PlanState } from './plan-state.ts';
import { PlanRepair } from './repair-plan.ts';

const PASSES = 4;

export interface Finish {
  /** A segment is small beside what a row holds: the quicker of two repairs is enough. */ readonly fine: boolean;
  readonly cancelled: () => boolean;
}

/**
 * Makes a plan keep its rows, though cancelled, and uses what they leave.
 * @param prices of the rows, at which the plan is about the cheapest
 */
export function finishPlan(state: PlanState, prices: Float64Array, { fine, cancelled }: Finish): void {
  const start = fine ? null : state.work.slice();
  if (new PlanRepair(state).run(prices, () => false)) new PlanImprovement(state).run(prices, PASSES, cancelled);
  if (start === null || cancelled()) return;
  const quick = { work: state.work.slice(), missed: state.missed(), objective: state.objective() };
  state.setAll(start);
  if (new EdgeRepair(state, prices).run(cancelled)) new PlanImprovement(state).run(prices, PASSES, cancelled);
  const missed = state.missed();
  if (missed > quick.missed || (missed === quick.missed && state.objective() > quick.objective))
    state.setAll(quick.work);
}
