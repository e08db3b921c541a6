import { ModelNewLives } from '../../analytics/forecast/new-life-draws.ts';
import {
  allNeedsMetPlan,
  type Baseline,
  fixedCyclePlan,
  nothingPlan,
  worstFirstPlan,
} from '../../analytics/program/baselines.ts';
import type { ProgramPlan, ProgramProblem } from '../../analytics/program/program-problem.ts';
import type { ProgramSample } from '../../analytics/program/program-sample.ts';
import { SEALANT_CLASSES, type SealantClass } from '../schemas/words.ts';
import { OLDEST_AGE } from './class-lives.ts';
import type { PlanningGround } from './planning-ground.ts';
import type { ScenarioProgramInput } from './scenario-program-input.ts';

/** The draws that every program on this ground is tried on. */
export const programSample = (
  { sample, classModel: { draws, family } }: PlanningGround,
  { newLives }: Pick<ScenarioProgramInput, 'newLives'>,
): ProgramSample => ({ ...sample, newLives: new ModelNewLives(newLives, draws, family, OLDEST_AGE) });

/** The plan of a simple rule under the same limits. */
export function baselinePlan(
  baseline: Baseline,
  problem: ProgramProblem,
  { ground, fixedCycleYears }: { ground: PlanningGround; fixedCycleYears: number },
): ProgramPlan {
  switch (baseline) {
    case 'nothing':
      return nothingPlan(problem);
    case 'worst-first':
      return worstFirstPlan(problem);
    case 'fixed-cycle':
      return fixedCyclePlan(problem, {
        cycleYears: SEALANT_CLASSES.map(() => fixedCycleYears),
        classInPlace: Int32Array.from(ground.segments, ({ inPlace }) =>
          SEALANT_CLASSES.indexOf(inPlace.covariates.sealantClass as SealantClass),
        ),
        ageYears: ground.ageYears,
      });
    case 'all-needs-met':
      return allNeedsMetPlan(problem);
    default:
      return baseline satisfies never;
  }
}
