import { closureMaster, type MasterGoal } from '../../../../analytics/closures/closure-master.ts';
import type { PackingProblem } from '../../../../analytics/closures/closure-plan.ts';
import { packingIndex } from '../../../../analytics/closures/packing-index.ts';
import { slotGroups } from '../../../../analytics/closures/slot-groups.ts';
import { solveMixedInteger } from '../../../../analytics/numeric/mixed-integer.ts';

/** Bounds from the schedule with work as a fluid: of the most work, and of the cost of a weight. */
export async function fluidBounds(problem: PackingProblem, periodDays: number, weight: number, iterations = 20_000) {
  const index = packingIndex(problem);
  const groups = slotGroups(index, periodDays);
  const bound = async (goal: MasterGoal) =>
    (await solveMixedInteger(closureMaster(index, groups, goal).model, { gapShare: 0, iterations })).bound;
  return {
    mostWeight: -(await bound({ kind: 'most-work' })),
    leastCost: weight > 0 ? await bound({ kind: 'least-cost', weight: weight * (1 - 1e-9) }) : 0,
  };
}
