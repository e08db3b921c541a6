import type { ClosureWindow, PackingProblem, PlanFacility, StoppingRule } from './closure-plan.ts';

/** A rule with the sentence that tells of it. */
export interface RuleBroken {
  readonly rule: StoppingRule;
  readonly reason: string;
}

/** Why a facility may not close in a window by its dates, or null. */
export function whyBarred(
  problem: Pick<PackingProblem, 'barred'>,
  facility: PlanFacility,
  window: Pick<ClosureWindow, 'startMinute' | 'endMinute'>,
): RuleBroken | null {
  if (facility.earliestMinute !== null && window.startMinute < facility.earliestMinute)
    return { rule: 'notice', reason: `${facility.name} may not close before its notice has run out` };
  if (facility.latestMinute !== null && window.endMinute > facility.latestMinute)
    return { rule: 'latest-date', reason: `${facility.name} must be open again before` };
  const barred = problem.barred.find(
    ({ facilityId, startMinute, endMinute }) =>
      (facilityId === null || facilityId === facility.id) &&
      startMinute < window.endMinute &&
      window.startMinute < endMinute,
  );
  return barred === undefined ? null : { rule: 'barred', reason: `${facility.name} may not close in ${barred.name}` };
}
