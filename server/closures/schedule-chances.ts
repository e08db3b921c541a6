import {
  type Chance,
  type FinishChances,
  finishChances,
  type UncertainClosure,
} from '../../analytics/closures/finish-chance.ts';
import type { Closure, ScheduleHead } from '../schemas/closures.ts';
import { type ChanceGround, uncertainClosure, uncertainReserve } from './closure-chance.ts';

/** Chance of a closure as the API tells of it. */
export type ToldChance = Pick<Closure, 'finishChance' | 'finishInterval' | 'finishWords'>;
export type ToldChances = Pick<
  ScheduleHead['totals'],
  'finishChance' | 'finishInterval' | 'finishWords' | 'finishedShare'
>;

type Reckoned = Pick<Closure, 'id' | 'facilityId' | 'part' | 'startsAt' | 'endsAt' | 'works' | 'state' | 'reserve'>;

export interface ScheduleChances {
  /** Of closures that are planned, by id. */ readonly byClosure: ReadonlyMap<string, ToldChance>;
  readonly all: ToldChances;
}

/** Draws at most: fewer where a schedule was stopped and the reader waits. */
export interface ChanceEffort {
  readonly draws?: number;
  readonly stop?: (share: number) => boolean;
}

/** Chances of all closures that are yet to come, and that all of their work is finished, reserve windows used. */
export function scheduleChances(
  closures: readonly Reckoned[],
  ground: ChanceGround,
  effort: ChanceEffort = {},
): ScheduleChances {
  const planned = closures.filter(({ state }) => state === 'planned');
  const working = planned.filter(({ works }) => works.length > 0);
  const made = working.map((closure) => ({ closure, uncertain: uncertainClosure(closure, ground) }));
  const known = made.flatMap(({ uncertain }) => ('closure' in uncertain ? uncertain.closure : []));
  const unknown = made.find(({ uncertain }) => 'unknown' in uncertain);
  const found = known.length === 0 ? null : finishChances([...known, ...reserves(working, ground)], effort);
  const byClosure = new Map<string, ToldChance>();
  for (const { closure, uncertain } of made) {
    const chance = found?.byClosure.get(closure.id);
    byClosure.set(
      closure.id,
      'unknown' in uncertain || !found || !chance
        ? untold('unknown' in uncertain ? uncertain.unknown : '')
        : told(chance, found),
    );
  }
  for (const { id, works } of planned)
    if (works.length === 0) byClosure.set(id, untold('It closes for work elsewhere and has none of its own.'));
  const missing =
    unknown && 'unknown' in unknown.uncertain
      ? unknown.uncertain.unknown
      : found === null
        ? 'No closure with work is planned.'
        : null;
  return {
    byClosure,
    all:
      missing !== null || found === null
        ? { ...untold(missing ?? ''), finishedShare: null }
        : { ...told(found.all, found), finishedShare: { ...found.finishedShare } },
  };
}

/** The chance of one closure, as it is after it was moved by hand. */
export const closureChance = (closure: Reckoned, ground: ChanceGround): ToldChance =>
  scheduleChances([{ ...closure, reserve: null, state: 'planned' }], ground).byClosure.get(closure.id) ?? untold('');

/** One window may stand for several closures: it is as long as the longest of them needs. */
function reserves(closures: readonly Reckoned[], ground: ChanceGround): UncertainClosure[] {
  const found = new Map<string, UncertainClosure>();
  const minutesOf = ({ shifts }: UncertainClosure) => shifts.reduce((sum, { minutes }) => sum + minutes, 0);
  for (const closure of closures) {
    const reserve = uncertainReserve(closure, ground);
    const known = reserve && found.get(reserve.id);
    if (reserve && (!known || minutesOf(reserve) > minutesOf(known))) found.set(reserve.id, reserve);
  }
  return [...found.values()];
}

const told = ({ share, low, high }: Chance, { draws, years }: FinishChances): ToldChance => ({
  finishChance: share,
  finishInterval: [low, high],
  finishWords: `Pace${years === null ? '' : ' and weather'} drawn ${draws.toLocaleString('en-US')} times${years === null ? '' : ` from ${years} years of record`}; the interval holds eight in ten.`,
});

const untold = (reason: string): ToldChance => ({ finishChance: null, finishInterval: null, finishWords: reason });
