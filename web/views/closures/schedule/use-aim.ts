import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import type { Closure, Schedule } from '../../../../server/schemas/closures.ts';
import { type ClosureWindow, checkClosureMove } from '../../../api/closures.ts';
import { startsOfSame } from '../../../state/closure-calendar.ts';
import { windowsQuery } from '../closure-queries.ts';

/** Rules that a closure would break in another window, told before it is moved there. */
export function useMoveCheck(schedule: Schedule, closure: Closure | null, startsAt: string | null) {
  const { planId, planRevision } = schedule;
  const closureId = closure?.id ?? '';
  return useQuery({
    queryKey: ['closure-check', planId, planRevision, closureId, startsAt],
    queryFn: ({ signal }) => checkClosureMove({ planId, closureId, startsAt: startsAt ?? '' }, signal),
    enabled: closure !== null && startsAt !== null && startsAt !== closure.startsAt,
  });
}

export interface Aim {
  /** What is being moved; null: nothing is. */ readonly closure: Closure | null;
  /** Where to; null: not away from where it is. */ readonly startsAt: string | null;
  readonly windows: readonly ClosureWindow[];
  readonly check: ReturnType<typeof useMoveCheck>;
  readonly take: (closure: Closure) => void;
  readonly over: (startsAt: string) => void;
  /** To the next (1) or the previous (-1) window in which it may close; false where there is none. */
  readonly step: (closure: Closure, direction: 1 | -1) => Promise<string | null>;
  /** The way in which there was no window left at the last step. */ readonly end: 'earlier' | 'later' | null;
  readonly leave: () => void;
}

/** A closure on its way to another window, by pointer or by key: nothing is changed until it is put down. */
export function useAim(schedule: Schedule): Aim {
  const [aimed, setAimed] = useState<{ uid: string; startsAt: string | null } | null>(null);
  const [end, setEnd] = useState<Aim['end']>(null);
  const client = useQueryClient();
  const closure = schedule.closures.find(({ uid }) => uid === aimed?.uid) ?? null;
  const windows = useQuery({
    ...windowsQuery(schedule.planId, closure ?? { facilityId: '' }),
    enabled: closure !== null,
  });
  const startsAt = closure && aimed && aimed.startsAt !== closure.startsAt ? aimed.startsAt : null;
  const step = async (moved: Closure, direction: 1 | -1): Promise<string | null> => {
    const ask = windowsQuery(schedule.planId, moved);
    const list = await client.fetchQuery({ ...ask, staleTime: 60_000 });
    const from = (moved.uid === aimed?.uid && aimed.startsAt) || moved.startsAt;
    const taken = startsOfSame(schedule.closures, moved);
    const free = list.filter((window) => window.barred === null && !taken.has(window.startsAt));
    const ahead =
      direction === 1
        ? free.filter((window) => window.startsAt > from)
        : free.filter((window) => window.startsAt < from);
    const next = direction === 1 ? ahead[0] : ahead[ahead.length - 1];
    setEnd(next ? null : direction === 1 ? 'later' : 'earlier');
    setAimed({ uid: moved.uid, startsAt: next?.startsAt ?? from });
    return next?.startsAt ?? null;
  };
  return {
    closure,
    startsAt,
    windows: windows.data ?? [],
    check: useMoveCheck(schedule, closure, startsAt),
    take: ({ uid }) => setAimed({ uid, startsAt: null }),
    over: (to) => setAimed((now) => now && { ...now, startsAt: to }),
    step,
    end,
    leave: () => {
      setAimed(null);
      setEnd(null);
    },
  };
}
