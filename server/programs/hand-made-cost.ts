import { createHash } from 'node:crypto';
import type { ProgramSolution } from '../../analytics/program/program-problem.ts';
import type { ScenarioInputs } from '../schemas/scenario.ts';
import type { PlanningBasis } from './planning-basis.ts';

/** Names what is asked but for the choices made by hand, so that one solution without them serves many with them. */
export function freeKey(
  { chosen: _chosen, ...inputs }: ScenarioInputs,
  { madeFrom, planningDate }: PlanningBasis,
): string {
  const members = Object.entries(inputs).sort(([a], [b]) => (a < b ? -1 : 1));
  return createHash('sha1')
    .update(JSON.stringify([members, madeFrom, planningDate]))
    .digest('base64url');
}

/**
 * What the choices add to the objective. A program around them is also a program without them, so where the search did
 * better with them than without, they cost nothing that it could tell.
 * @param free objective without the choices; null: no program without them keeps every limit
 */
export const handMadeCost = (solution: ProgramSolution, free: number | null): number | null =>
  free === null || solution.status === 'infeasible' ? null : Math.max(0, solution.objective - free);
