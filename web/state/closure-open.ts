import type { ClosurePlan } from '../../server/schemas/closures.ts';
import type { Job } from '../../server/schemas/job.ts';
import type { ClosurePart, ClosureView } from './closure-view.ts';
import { newestFirst } from './program-open.ts';

/** The plan of the address; without one, that changed last which has a schedule, or that changed last. */
export function chosenPlan<P extends Pick<ClosurePlan, 'id' | 'changedAt' | 'schedule'>>(
  plans: readonly P[],
  { planId }: Pick<ClosureView, 'planId'>,
): P | null {
  if (planId !== null) return plans.find(({ id }) => id === planId) ?? null;
  const ordered = newestFirst(plans);
  return ordered.find(({ schedule }) => schedule !== null) ?? ordered[0] ?? null;
}

/** The part of the address; without one, the schedule where there is one, else what it needs. */
export function closurePartFor(
  { part }: Pick<ClosureView, 'part'>,
  plan: Pick<ClosurePlan, 'schedule'> | null,
): ClosurePart {
  if (plan === null) return 'plans';
  return part ?? (plan.schedule === null ? 'setup' : 'schedule');
}

/** Whether a job schedules this plan. */
export const isScheduleJobOf = (job: Pick<Job, 'kind' | 'planId'>, planId: string): boolean =>
  job.kind === 'closures' && job.planId === planId;

/** Whether a plan's schedule still answers it, in words. */
export function planState({ schedule }: Pick<ClosurePlan, 'schedule'>): {
  readonly state: 'none' | 'current' | 'stale';
  readonly words: string;
} {
  if (schedule === null) return { state: 'none', words: 'No schedule yet' };
  if (schedule.current) return { state: 'current', words: 'Schedule is up to date' };
  return { state: 'stale', words: 'Out of date: rules or program have changed since' };
}
