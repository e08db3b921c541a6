import type { Closure, ScheduleHead } from '../schemas/closures.ts';
import type { Store } from '../store/store.ts';
import { unitOf } from './closing-unit.ts';
import { dryDays } from './closure-problem.ts';
import type { ClosureInHand, EditedClosure } from './edit-closure.ts';
import { PlanWeather } from './plan-weather.ts';
import { windowsOf } from './plan-windows.ts';
import { scheduleChances, type ToldChances } from './schedule-chances.ts';
import { leftOverM, scheduleSentence, scheduleTotals } from './schedule-totals.ts';

/** Of so many the chance is drawn anew in about half a second; of more the reader is asked to schedule again. */
const MOST_DRAWN = 250;

/**
 * The head of a schedule after one of its closures was lost, done or moved: what is placed, what is left of it to be
 * scheduled again, and the chance that the rest is finished. null: the change touches none of them.
 */
export async function refreshedHead(
  store: Store,
  { plan, schedule, stored: before }: ClosureInHand,
  { stored: { closure: after } }: EditedClosure,
): Promise<ScheduleHead | null> {
  if (shownInTotals(before.closure) === shownInTotals(after)) return null;
  const closures = schedule.closures
    .filter(({ cancelled }) => !cancelled)
    .map(({ closure }) => (closure.uid === after.uid ? after : closure))
    .sort((a, b) => (a.startsAt < b.startsAt ? -1 : a.startsAt > b.startsAt ? 1 : 0));
  const { totals } = schedule.head;
  const leftM = Math.max(0, (totals.leftM ?? 0) + leftOverM(after) - leftOverM(before.closure));
  const next = {
    ...scheduleTotals(closures, totals.unplacedM),
    leftM,
    ...(await chancesOf(store, plan.rules, closures)),
  };
  return { ...schedule.head, totals: next, sentence: scheduleSentence(closures, next) };
}

const shownInTotals = ({ state, startsAt, doneM }: Closure): string => JSON.stringify([state, startsAt, doneM]);

async function chancesOf(
  store: Store,
  rules: ClosureInHand['plan']['rules'],
  closures: readonly Closure[],
): Promise<ToldChances> {
  const planned = closures.filter(({ state }) => state === 'planned');
  if (planned.length > MOST_DRAWN)
    return {
      ...{ finishChance: null, finishInterval: null, finishedShare: null },
      finishWords: 'The schedule has changed since it was reckoned: schedule the rest again.',
    };
  const facilities = new Map((await store.listFacilities()).map((facility) => [facility.id, facility]));
  const units = planned.flatMap((closure) => {
    const facility = facilities.get(closure.facilityId);
    return facility ? [unitOf(closure, facility)] : [];
  });
  const closed = new Map(units.map((unit) => [unit.id, unit]));
  const weather = await PlanWeather.read(store, new Set(units.map(({ facility }) => facility.id)), dryDays(rules));
  const windows = [...closed.values()].flatMap((unit) => windowsOf(rules, unit));
  return scheduleChances(planned, { rules, weather, windows }).all;
}
