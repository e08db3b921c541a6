import type { Closure } from '../../server/schemas/closures.ts';
import { byStart } from './closure-calendar.ts';
import { closedName } from './closure-words.ts';

export type ClosureSort = 'startsAt' | 'facility' | 'state' | 'lengthM' | 'finishChance' | 'weatherChance';

/** What breaks a rule first, then what is lost, planned, done. */
const STATES = ['lost', 'planned', 'done'];
const stateRank = ({ state, conflicts }: Closure): number => (conflicts.length > 0 ? -1 : STATES.indexOf(state));

const VALUES: Readonly<Record<ClosureSort, (closure: Closure) => string | number | null>> = {
  startsAt: ({ startsAt }) => startsAt,
  facility: closedName,
  state: stateRank,
  lengthM: ({ lengthM }) => lengthM,
  finishChance: ({ finishChance, state }) => (state === 'planned' ? finishChance : null),
  weatherChance: ({ weatherChance }) => weatherChance,
};

/** Closures in an order; what is not told comes last either way, and what is equal is in the order of time. */
export function orderedClosures(
  closures: readonly Closure[],
  { sort, descending }: { readonly sort: ClosureSort; readonly descending: boolean },
): Closure[] {
  const way = descending ? -1 : 1;
  return closures
    .map((closure) => ({ closure, value: VALUES[sort](closure) }))
    .sort((a, b) => {
      if (a.value === null || b.value === null)
        return Number(a.value === null) - Number(b.value === null) || byStart(a.closure, b.closure);
      return way * compared(a.value, b.value) || byStart(a.closure, b.closure);
    })
    .map(({ closure }) => closure);
}

const compared = (a: string | number, b: string | number): number =>
  typeof a === 'string' && typeof b === 'string' ? a.localeCompare(b, 'en', { numeric: true }) : Number(a) - Number(b);
