import type { Closure, ScheduleHead } from '../schemas/closures.ts';
import { settledParts } from './remaining-work.ts';

type Totals = ScheduleHead['totals'];
type Counted = Pick<
  Closure,
  'works' | 'state' | 'locked' | 'doneM' | 'crews' | 'sealant' | 'rods' | 'crewHours' | 'facilityId' | 'startsAt'
>;

const sum = (values: readonly number[]): number => values.reduce((all, value) => all + value, 0);
const sealedM = (parts: readonly { readonly pass: string; readonly fromM: number; readonly toM: number }[]): number =>
  sum(parts.filter(({ pass }) => pass !== 'open').map(({ fromM, toM }) => toM - fromM));

/** Joint that a closure seals: all of it while it is planned, afterwards what was done. */
const placedM = (closure: Counted): number =>
  sealedM(closure.state === 'planned' ? closure.works : settledParts(closure));

/** Joint that a closure was to seal and has not: it was lost, or ended early. */
export const leftOverM = (closure: Counted): number => sealedM(closure.works) - placedM(closure);

/** What the closures of a schedule come to; amounts and hours are of those that are not lost. */
export function scheduleTotals(
  closures: readonly Counted[],
  unplacedM: number,
): Pick<Totals, 'closures' | 'crewShifts' | 'lengthM' | 'unplacedM' | 'litres' | 'rodM' | 'crewHours'> {
  const standing = closures.filter(({ state }) => state !== 'lost');
  return {
    closures: standing.length,
    crewShifts: sum(standing.map(({ crews }) => crews.length)),
    lengthM: sum(closures.map(placedM)),
    unplacedM,
    litres: sum(standing.flatMap(({ sealant }) => sealant.map(({ litres }) => litres ?? 0))),
    rodM: sum(standing.flatMap(({ rods }) => rods.map(({ metres }) => metres))),
    crewHours: sum(standing.map(({ crewHours }) => crewHours)),
  };
}

/** The schedule in plain words. */
export function scheduleSentence(
  closures: readonly Counted[],
  { lengthM, unplacedM, leftM = 0 }: Pick<Totals, 'lengthM' | 'unplacedM' | 'leftM'>,
): string {
  const standing = closures.filter(({ state }) => state !== 'lost');
  const metres = (value: number) => `${Math.round(value).toLocaleString('en-US')} m`;
  const rest = unplacedM < 0.5 ? 'all of the work' : `${metres(lengthM)} of joint; ${metres(unplacedM)} do not fit`;
  const facilities = new Set(standing.map(({ facilityId }) => facilityId)).size;
  const [first, last] = [standing[0]?.startsAt.slice(0, 10), standing.at(-1)?.startsAt.slice(0, 10)];
  const left = leftM < 0.5 ? '' : ` ${metres(leftM)} were lost or left undone since, and are to be scheduled again.`;
  if (first === undefined || last === undefined)
    return `No closure is possible: ${metres(unplacedM)} do not fit.${left}`;
  const when = first === last ? `on ${first}` : `from ${first} to ${last}`;
  const placed = leftM < 0.5 ? rest : rest.replace('all of the work', `${metres(lengthM)} of joint`);
  return `${standing.length} closures of ${facilities} ${facilities === 1 ? 'facility' : 'facilities'} ${when} for ${placed}.${left}`;
}
