import type { ClosureRules } from '../../server/schemas/closure-rules.ts';
import type {
  Closure,
  ClosureClash,
  ClosureDefaults,
  ClosureEdit,
  ClosurePlan,
  ClosurePlanEdit,
  ClosureProduction,
  Schedule,
} from '../../server/schemas/closures.ts';
import type { Job } from '../../server/schemas/job.ts';
import type { Units } from '../state/units.ts';
import { nullWhenMissing } from './missing.ts';
import { ApiProblem, apiUrl, requestJson } from './request.ts';

const planPath = (id: string): string => `/closure-plans/${encodeURIComponent(id)}`;
const closurePath = (planId: string, closureId: string): string =>
  `${planPath(planId)}/closures/${encodeURIComponent(closureId)}`;

/** What came of a change: made, or refused because somebody else was first, with what they changed. */
export type Edited<T> =
  | { readonly kind: 'made'; readonly value: T }
  | { readonly kind: 'clash'; readonly clash: ClosureClash };

/** Reads the refusal of a change that was made from an older revision (412); every other one is thrown on. */
async function orClash<T>(answer: Promise<T>): Promise<Edited<T>> {
  try {
    return { kind: 'made', value: await answer };
  } catch (error) {
    if (error instanceof ApiProblem && error.status === 412 && 'changes' in error.sent)
      return { kind: 'clash', clash: error.sent as ClosureClash };
    throw error;
  }
}

export const fetchClosurePlans = async (signal?: AbortSignal): Promise<ClosurePlan[]> =>
  (await requestJson<{ plans: ClosurePlan[] }>('/closure-plans', { signal })).plans;

/** What a plan starts from for a year of a scenario's program, each with its reason. */
export const fetchClosureDefaults = (
  { scenarioId, year }: { readonly scenarioId: string; readonly year: number },
  signal?: AbortSignal,
) => requestJson<ClosureDefaults>('/closure-plans/defaults', { query: { scenario: scenarioId, year }, signal });

/** What one closure of each kind of window holds under these rules, saved or not. */
export const fetchClosureProduction = (rules: ClosureRules, signal?: AbortSignal) =>
  requestJson<ClosureProduction>('/closure-plans/production', { method: 'POST', body: { rules }, signal });

export const createClosurePlan = (body: Pick<ClosurePlan, 'name' | 'note' | 'rules'>) =>
  requestJson<ClosurePlan>('/closure-plans', { method: 'POST', body });

type Known = Pick<ClosurePlan, 'id' | 'revision'>;

/** Changes name, note or rules of a plan from the revision that was read. */
export const editClosurePlan = ({ id, revision }: Known, edit: ClosurePlanEdit): Promise<Edited<ClosurePlan>> =>
  orClash(requestJson<ClosurePlan>(planPath(id), { method: 'PATCH', body: edit, ifMatch: revision }));

export const deleteClosurePlan = ({ id, revision }: Known): Promise<Edited<undefined>> =>
  orClash(requestJson<undefined>(planPath(id), { method: 'DELETE', ifMatch: revision }));

/** Schedules the plan, around what is locked, done or lost, as a job; cancelled, it keeps the best schedule found. */
export const startSchedule = (planId: string) => requestJson<Job>(`${planPath(planId)}/schedule`, { method: 'POST' });

/** The schedule made last; null before the first. */
export const fetchSchedule = (planId: string, signal?: AbortSignal): Promise<Schedule | null> =>
  nullWhenMissing(requestJson<Schedule>(`${planPath(planId)}/schedule`, { signal }));

/** Changes one closure by hand, from the revision of the plan that was read. */
export const editClosure = (
  { id, revision }: Known,
  closureId: string,
  edit: ClosureEdit,
): Promise<Edited<{ plan: ClosurePlan; closure: Closure }>> =>
  orClash(requestJson(closurePath(id, closureId), { method: 'PATCH', body: edit, ifMatch: revision }));

/** Rules that a closure would break at another start; nothing is changed. */
export const checkClosureMove = async (
  { planId, closureId, startsAt }: { readonly planId: string; readonly closureId: string; readonly startsAt: string },
  signal?: AbortSignal,
): Promise<Closure['conflicts']> => {
  const path = `${closurePath(planId, closureId)}/check`;
  return (await requestJson<Pick<Closure, 'conflicts'>>(path, { method: 'POST', body: { startsAt }, signal }))
    .conflicts;
};

/** A time in which a facility may close. */
export interface ClosureWindow {
  readonly startsAt: string;
  readonly endsAt: string;
  readonly weatherChance: number | null;
  /** Why it may not close then; null: it may. */ readonly barred: string | null;
}
export const fetchWindows = async (
  { planId, ...query }: { readonly planId: string; readonly facility: string; readonly direction: string | null },
  signal?: AbortSignal,
): Promise<ClosureWindow[]> =>
  (await requestJson<{ windows: ClosureWindow[] }>(`${planPath(planId)}/windows`, { query, signal })).windows;

/** Where a calendar program reads the closures again and again: absolute, since it is outside the page. */
export const calendarAddress = (origin: string, planId: string, facility: string | null = null): string =>
  `${origin}${apiUrl(`/calendar/${encodeURIComponent(planId)}.ics`, { facility })}`;

export const closureFileUrl = (planId: string, ending: 'ics' | 'csv' | 'pdf', units: Units): string =>
  apiUrl(`/export/closures/${encodeURIComponent(planId)}.${ending}`, { units });

/** The packet of one closure, as PDF. */
export const packetUrl = (planId: string, closureId: string, units: Units): string =>
  apiUrl(`/export/closures/${encodeURIComponent(planId)}/${encodeURIComponent(closureId)}.pdf`, { units });
