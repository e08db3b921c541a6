import { windowId } from '../../analytics/closures/closure-windows.ts';
import type { Closure } from '../schemas/closures.ts';
import { unitIdOf } from './closing-unit.ts';
import { localText, minuteOf } from './local-time.ts';

/**
 * A closure at another time, with its work as far from the start as before. Its reserve is given up: it was found for the
 * old time.
 * @param endMinute end of the window that starts then
 */
export function movedClosure(closure: Closure, startMinute: number, endMinute: number): Closure {
  const by = startMinute - minuteOf(closure.startsAt);
  if (by === 0 && endMinute === minuteOf(closure.endsAt)) return closure;
  const later = (local: string) => localText(minuteOf(local) + by);
  return {
    ...closure,
    id: windowId(unitIdOf(closure), startMinute, endMinute),
    startsAt: localText(startMinute),
    endsAt: localText(endMinute),
    opensAt: later(closure.opensAt),
    reserve: null,
    byHand: true,
    finishChance: null,
    works: closure.works.map((work) => ({ ...work, startsAt: later(work.startsAt), endsAt: later(work.endsAt) })),
  };
}
