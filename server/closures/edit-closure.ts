import type { ClosureWindow } from '../../analytics/closures/closure-plan.ts';
import { ProblemError } from '../problems.ts';
import type { ClosureRules } from '../schemas/closure-rules.ts';
import type { Closure, ClosureEdit } from '../schemas/closures.ts';
import type { Facility } from '../schemas/facility.ts';
import type { StoredClosure, StoredClosurePlan, StoredSchedule } from '../store/closure-store.ts';
import type { Store } from '../store/store.ts';
import { type ClosingUnit, closedName, unitOf } from './closing-unit.ts';
import { type Conflict, closureConflicts, conflictsAgain } from './closure-conflicts.ts';
import { dryDays } from './closure-problem.ts';
import { changedEvent } from './event-identity.ts';
import { isLocalTime, localText, minuteOf, spokenTime } from './local-time.ts';
import { movedClosure } from './move-closure.ts';
import { PlanWeather } from './plan-weather.ts';
import { windowsOf, withWeather } from './plan-windows.ts';
import { gatesOf } from './planned-work.ts';
import { refreshedConflicts } from './refresh-conflicts.ts';
import { closureChance } from './schedule-chances.ts';

/** One closure of a plan with what a change of it is held against. */
export interface ClosureInHand {
  readonly plan: StoredClosurePlan;
  readonly schedule: StoredSchedule;
  readonly stored: StoredClosure;
  readonly facility: Facility;
  readonly windows: readonly ClosureWindow[];
  readonly weather: PlanWeather;
  readonly planningDate: string;
}

/** @throws ProblemError when the plan has no such closure */
export async function readClosureInHand(
  store: Store,
  plan: StoredClosurePlan,
  { closureId, planningDate }: { closureId: string; planningDate: string },
): Promise<ClosureInHand> {
  const schedule = await store.closures.readSchedule(plan.id);
  const stored = schedule?.closures.find(({ closure, cancelled }) => closure.id === closureId && !cancelled);
  const facility = (await store.listFacilities()).find(({ id }) => id === stored?.closure.facilityId);
  if (!schedule || !stored || !facility)
    throw new ProblemError(
      'not-found',
      `${plan.name} has no closure ${closureId}. List: GET /api/closure-plans/${plan.id}/schedule`,
    );
  const weather = await PlanWeather.read(store, [facility.id], dryDays(plan.rules));
  const windows = unitWindows(plan.rules, unitOf(stored.closure, facility), stored.closure, weather);
  return { plan, schedule, stored, facility, windows, weather, planningDate };
}

/** Windows of what closes with their weather, under the limits of the work in a closure (of every class without one). */
export function unitWindows(
  rules: ClosureRules,
  unit: ClosingUnit,
  closure: Closure | null,
  weather: PlanWeather,
): ClosureWindow[] {
  const classes = closure?.works.map(({ sealantClass }) => sealantClass) ?? [];
  const gates = gatesOf(rules, classes.length === 0 ? ['unknown'] : classes);
  return withWeather(windowsOf(rules, unit), unit, gates, weather);
}

/** A closure at another start: in the window that begins then, or as long as before where none does. */
export function closureAt({ stored, windows }: Pick<ClosureInHand, 'stored' | 'windows'>, startsAt: string): Closure {
  if (!isLocalTime(startsAt))
    throw new ProblemError(
      'invalid-request',
      `body.startsAt is ${startsAt}; expected a day and clock that there are.`,
      [
        {
          field: 'body.startsAt',
          found: startsAt,
          expected: 'a day of the calendar from 1900 to 2300 and a clock to 23:59',
        },
      ],
    );
  const { closure } = stored;
  const start = minuteOf(startsAt);
  const length = minuteOf(closure.endsAt) - minuteOf(closure.startsAt);
  const window = windows.find(({ startMinute }) => startMinute === start);
  return movedClosure(closure, start, window?.endMinute ?? start + length);
}

export const conflictsOf = (closure: Closure, hand: ClosureInHand): Conflict[] =>
  closureConflicts(closure, {
    ...{ rules: hand.plan.rules, facility: hand.facility, planningDate: hand.planningDate, windows: hand.windows },
    others: otherClosures(hand.schedule, closure),
  });

const otherClosures = ({ closures }: StoredSchedule, { uid }: Closure): Closure[] =>
  closures.filter((each) => !each.cancelled && each.closure.uid !== uid).map((each) => each.closure);

export interface EditedClosure {
  readonly stored: StoredClosure;
  /** Other closures whose conflicts came or went with the change. */ readonly others: readonly StoredClosure[];
  /** What the change says of itself. */ readonly sentence: string;
}

/** The closure with an edit made, its chance and conflicts told anew, and those of the others that it concerns. */
export function editedClosure(hand: ClosureInHand, edit: ClosureEdit, changedAt: string): EditedClosure {
  const { closure } = hand.stored;
  const moved = edit.startsAt === undefined ? closure : withChances(closureAt(hand, edit.startsAt), hand);
  if (moved.id !== closure.id && closure.state !== 'planned')
    throw new ProblemError('conflict', `${nameOf(closure)} is ${closure.state}; only a planned closure can be moved.`);
  if (edit.doneM !== undefined && edit.doneM !== null && edit.doneM > closure.lengthM + 0.01)
    throw new ProblemError(
      'invalid-request',
      `body.doneM is ${edit.doneM}; expected at most ${closure.lengthM.toFixed(1)}.`,
      [
        {
          field: 'body.doneM',
          found: String(edit.doneM),
          expected: `at most ${closure.lengthM.toFixed(1)} m, its length`,
        },
      ],
    );
  const taken = hand.schedule.closures.find(
    (each) => !each.cancelled && each.closure.id === moved.id && each.closure.uid !== closure.uid,
  );
  if (taken) throw new ProblemError('conflict', `${nameOf(taken.closure)} is in that window already. Move it first.`);
  const { startsAt: _moved, ...rest } = edit;
  const next: Closure = { ...moved, ...rest };
  const conflicts = next.byHand || next.locked ? conflictsOf(next, hand) : besideOthers(next, hand);
  const stored = changedEvent(hand.stored, { ...next, conflicts }, changedAt);
  const change = { before: closure, after: stored.closure };
  return {
    stored,
    others: refreshedConflicts(hand.schedule.closures, change, { rules: hand.plan.rules, changedAt }),
    sentence: sentenceOf(closure, next),
  };
}

/** What nobody has touched can break rules only beside a closure that was moved into its way. */
const besideOthers = (closure: Closure, { plan, schedule }: ClosureInHand): Conflict[] =>
  closure.state === 'planned'
    ? conflictsAgain(closure, { rules: plan.rules, others: otherClosures(schedule, closure) })
    : [];

/** A closure at another time has the weather and the hours of that time. */
function withChances(closure: Closure, { plan, windows, weather, stored }: ClosureInHand): Closure {
  if (closure === stored.closure) return closure;
  const window = windows.find(
    ({ startMinute, endMinute }) =>
      startMinute === minuteOf(closure.startsAt) && endMinute === minuteOf(closure.endsAt),
  );
  const chances = Object.values(window?.chanceByGate ?? {});
  return {
    ...closure,
    weatherChance: chances.length === 0 ? null : Math.min(...chances),
    ...closureChance(closure, { rules: plan.rules, weather, windows }),
  };
}

const nameOf = (closure: Closure): string => `The closure of ${closedName(closure)} on ${spokenTime(closure.startsAt)}`;

function sentenceOf(before: Closure, after: Closure): string {
  const told: string[] = [];
  if (after.startsAt !== before.startsAt) told.push(`moved to ${spokenTime(after.startsAt)}`);
  if (after.locked !== before.locked) told.push(after.locked ? 'locked' : 'unlocked');
  if (after.state !== before.state) told.push(`marked ${after.state}`);
  if (after.doneM !== before.doneM)
    told.push(after.doneM === null ? 'what was done of it taken back' : `${after.doneM} m of it told as done`);
  if (after.note !== before.note) told.push('noted on');
  return told.length === 0 ? `${nameOf(before)} was left as it was.` : `${nameOf(before)} was ${told.join(', ')}.`;
}

/** Where a closure of a facility may be dragged to, in the order of time. */
export const windowAnswer = (windows: readonly ClosureWindow[], whyNot: (window: ClosureWindow) => string | null) => ({
  windows: windows.map((window) => {
    const chances = Object.values(window.chanceByGate);
    return {
      startsAt: localText(window.startMinute),
      endsAt: localText(window.endMinute),
      weatherChance: chances.length === 0 ? null : Math.min(...chances),
      barred: whyNot(window),
    };
  }),
});
