import type { Closure } from '../schemas/closures.ts';
import type { StoredClosure } from '../store/closure-store.ts';
import { unitIdOf } from './closing-unit.ts';
import type { ClosureDraft } from './closure-document.ts';

/** What a calendar event shows: a change of it is a new revision of the event. */
const shownOf = ({
  startsAt,
  endsAt,
  opensAt,
  reserve,
  works,
  state,
  locked,
  note,
  facilityName,
  part,
  conflicts,
}: ClosureDraft): string =>
  JSON.stringify([
    startsAt,
    endsAt,
    opensAt,
    reserve,
    works,
    state,
    locked,
    note,
    facilityName,
    part ?? null,
    conflicts,
  ]);

export interface IdentityClock {
  /** ISO instant of the change. */ readonly changedAt: string;
  /** A new identity that no other event has. */ readonly newUid: () => string;
}

/**
 * Gives the closures of a new schedule the calendar events of the one before: the same window keeps its event; a facility's
 * other closures take over, in order of time, the events of those that are no longer in the schedule, which so move; what is
 * left over is cancelled and remembered. SEQUENCE grows when an event changes (RFC 5545, section 3.8.7.4).
 */
export function withIdentities(
  before: readonly StoredClosure[],
  next: readonly ClosureDraft[],
  clock: IdentityClock,
): StoredClosure[] {
  const free = new Map(before.map((stored) => [stored.closure.uid, stored]));
  const taken = new Map<ClosureDraft, StoredClosure>();
  const take = (draft: ClosureDraft, found: StoredClosure | undefined) => {
    if (!found) return;
    taken.set(draft, found);
    free.delete(found.closure.uid);
  };
  const inOrder = [...before].sort((a, b) => Number(a.cancelled) - Number(b.cancelled));
  for (const draft of next)
    take(
      draft,
      inOrder.find(({ closure }) => closure.id === draft.id && free.has(closure.uid)),
    );
  for (const draft of next)
    if (!taken.has(draft))
      take(
        draft,
        firstOf(free, ({ closure }) => unitIdOf(closure) === unitIdOf(draft)),
      );
  const kept = next.map((draft): StoredClosure => {
    const known = taken.get(draft);
    if (!known)
      return { closure: { ...draft, uid: clock.newUid(), sequence: 0 }, cancelled: false, changedAt: clock.changedAt };
    return changedEvent(known, draft, clock.changedAt);
  });
  return [...kept, ...[...free.values()].map((gone) => cancelledEvent(gone, clock.changedAt))];
}

/** The earliest closure that is not cancelled already and that fits. */
const firstOf = (
  free: ReadonlyMap<string, StoredClosure>,
  fits: (stored: StoredClosure) => boolean,
): StoredClosure | undefined =>
  [...free.values()]
    .filter((stored) => !stored.cancelled && fits(stored))
    .sort((a, b) => (a.closure.startsAt < b.closure.startsAt ? -1 : 1))[0];

/** The event of a closure as it is now; its sequence grows where it shows something else than before. */
export function changedEvent(known: StoredClosure, draft: ClosureDraft, changedAt: string): StoredClosure {
  const { uid, sequence } = known.closure;
  const same = !known.cancelled && shownOf(known.closure) === shownOf(draft);
  const closure: Closure = { ...draft, uid, sequence: same ? sequence : sequence + 1 };
  return { closure, cancelled: false, changedAt: same ? known.changedAt : changedAt };
}

const cancelledEvent = (gone: StoredClosure, changedAt: string): StoredClosure =>
  gone.cancelled
    ? gone
    : { closure: { ...gone.closure, sequence: gone.closure.sequence + 1 }, cancelled: true, changedAt };
