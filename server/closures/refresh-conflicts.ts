import { MINUTES_PER_DAY } from '../../analytics/closures/closure-plan.ts';
import type { ClosureRules } from '../schemas/closure-rules.ts';
import type { Closure } from '../schemas/closures.ts';
import type { StoredClosure } from '../store/closure-store.ts';
import { conflictsAgain } from './closure-conflicts.ts';
import { changedEvent } from './event-identity.ts';
import { minuteOf } from './local-time.ts';

/** Closures so near in time can meet: a crew rests for less than a day. */
const NEAR_MINUTES = MINUTES_PER_DAY;

/**
 * The other closures whose conflicts are no longer those that are stored, because one of them changed: what it ran into, and
 * what it no longer stands in the way of.
 * @param before the closure that changed as it was, `after` as it is
 */
export function refreshedConflicts(
  schedule: readonly StoredClosure[],
  { before, after }: { readonly before: Closure; readonly after: Closure },
  { rules, changedAt }: { readonly rules: ClosureRules; readonly changedAt: string },
): StoredClosure[] {
  const rest = schedule.filter(({ closure, cancelled }) => !cancelled && closure.uid !== after.uid);
  const all = [after, ...rest.map(({ closure }) => closure)];
  const segments = new Set([...before.works, ...after.works].map(({ segmentId }) => segmentId));
  const reach = [before, after].map(({ startsAt, endsAt }) => ({
    from: minuteOf(startsAt) - NEAR_MINUTES,
    to: minuteOf(endsAt) + NEAR_MINUTES,
  }));
  const concerned = ({ conflicts, startsAt, endsAt, works, state }: Closure): boolean =>
    state === 'planned' &&
    (conflicts.length > 0 ||
      reach.some(({ from, to }) => minuteOf(startsAt) < to && minuteOf(endsAt) > from) ||
      works.some(({ segmentId }) => segments.has(segmentId)));
  return rest.flatMap((stored) => {
    const { closure } = stored;
    if (!concerned(closure)) return [];
    const conflicts = conflictsAgain(closure, { rules, others: all.filter(({ uid }) => uid !== closure.uid) });
    const same = JSON.stringify(conflicts) === JSON.stringify(closure.conflicts);
    return same ? [] : [changedEvent(stored, { ...closure, conflicts }, changedAt)];
  });
}
