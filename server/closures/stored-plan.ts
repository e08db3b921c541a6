import { ProblemError } from '../problems.ts';
import { readPlanningBasis } from '../programs/planning-basis.ts';
import type { ClosureRules } from '../schemas/closure-rules.ts';
import type { ClosurePlan, Schedule } from '../schemas/closures.ts';
import type { StoredClosurePlan, StoredSchedule } from '../store/closure-store.ts';
import type { Store } from '../store/store.ts';

/** @throws ProblemError when there is no such plan */
export async function foundPlan(store: Store, id: string): Promise<StoredClosurePlan> {
  const plan = await store.closures.findClosurePlan(id);
  if (!plan) throw new ProblemError('not-found', `No closure plan ${id}. List: GET /api/closure-plans`);
  return plan;
}

/** @throws ProblemError when there is no such plan, or no schedule of it yet */
export async function foundSchedule(
  store: Store,
  id: string,
): Promise<{ readonly plan: StoredClosurePlan; readonly schedule: StoredSchedule }> {
  const plan = await foundPlan(store, id);
  const schedule = await store.closures.readSchedule(id);
  if (!schedule)
    throw new ProblemError(
      'no-schedule',
      `No schedule of ${plan.name} yet. POST /api/closure-plans/${id}/schedule and wait for its job.`,
    );
  return { plan, schedule };
}

/** What a schedule is made from besides the rules of its plan: program, records, planning date. */
export async function readMadeFrom(
  store: Store,
  { scenarioId }: Pick<ClosureRules, 'scenarioId'>,
  today: string,
): Promise<{ readonly madeFrom: string; readonly planningDate: string }> {
  const { planningDate, dataVersion, settings } = await readPlanningBasis(store, today);
  const program = await store.programVersion(scenarioId);
  return { madeFrom: `p${program}d${dataVersion}k${settings.stationLimitKm} ${planningDate}`, planningDate };
}

/** A plan as it leaves: with whether its schedule is still that of its rules, program and records. */
export function planAnswer({ schedule, rulesRevision, ...plan }: StoredClosurePlan, madeFrom: string): ClosurePlan {
  const current = schedule !== null && schedule.rulesRevision >= rulesRevision && schedule.madeFrom === madeFrom;
  return { ...plan, schedule: schedule && { madeAt: schedule.madeAt, current } };
}

/** A schedule as it leaves: cancelled closures are for calendars only. */
export const scheduleAnswer = (plan: StoredClosurePlan, { head, closures }: StoredSchedule): Schedule => ({
  ...head,
  planName: plan.name,
  planRevision: plan.revision,
  closures: closures.filter(({ cancelled }) => !cancelled).map(({ closure }) => closure),
});
