import type { Closure } from '../../server/schemas/closures.ts';
import { DIRECTION_LABELS } from './words.ts';

const DAY_MS = 86_400_000;
const HOUR_MS = 3_600_000;

/** Days since 1970 of a local time or an ISO day. */
const dayNumber = (local: string): number => Math.floor(Date.parse(`${local.slice(0, 10)}T00:00Z`) / DAY_MS);
const isoOf = (day: number): string => new Date(day * DAY_MS).toISOString().slice(0, 10);

export const addDays = (isoDay: string, days: number): string => isoOf(dayNumber(isoDay) + days);

/** The Monday of its week. Day 0 of 1970 was a Thursday. */
export const weekOf = (local: string): string => {
  const day = dayNumber(local);
  return isoOf(day - ((((day + 3) % 7) + 7) % 7));
};

export const isWeekend = (isoDay: string): boolean => (((dayNumber(isoDay) + 3) % 7) + 7) % 7 >= 5;

export const daysFrom = (firstDay: string, days: number): string[] =>
  Array.from({ length: days }, (_, index) => addDays(firstDay, index));

type Period = Pick<Closure, 'startsAt' | 'endsAt'>;

/** Days that a bar is long: a night is one, that on which it starts; from Friday evening to Monday morning is three. */
export function spanDays({ startsAt, endsAt }: Period): number {
  const hours = (Date.parse(`${endsAt}Z`) - Date.parse(`${startsAt}Z`)) / HOUR_MS;
  return Math.max(1, Math.ceil(hours / 24));
}

/** A bar of the calendar; columns count from 0 and are cut to the days shown. */
export interface Bar {
  readonly column: number;
  readonly span: number;
  /** Bars of one facility that lie over one another are put in lanes. */ readonly lane: number;
}
export interface ClosureBar extends Bar {
  readonly closure: Closure;
}
export interface ReserveBar extends Bar {
  readonly startsAt: string;
  readonly endsAt: string;
}
export interface CalendarRow {
  /** Of the facility, or of one direction of it. */ readonly id: string;
  readonly name: string;
  readonly lanes: number;
  readonly closures: readonly ClosureBar[];
  readonly reserves: readonly ReserveBar[];
}

const KINDS: readonly Closure['facilityKind'][] = ['runway', 'taxiway', 'apron', 'highway', 'bridge'];

/** Rows of facilities against days: every facility that closes at all, so that rows stay when the weeks move on. */
export function calendarRows(
  closures: readonly Closure[],
  { firstDay, days }: { readonly firstDay: string; readonly days: number },
): CalendarRow[] {
  return facilitiesOf(closures).map((own) => {
    const ends: number[] = [];
    const closureBars = own.flatMap((closure): ClosureBar[] => {
      const bar = barOf(closure, { firstDay, days, ends });
      return bar ? [{ ...bar, closure }] : [];
    });
    const reserves = [
      ...new Map(own.flatMap(({ reserve }) => (reserve ? [[reserve.startsAt, reserve] as const] : []))).values(),
    ].sort(byStart);
    const reserveBars = reserves.flatMap(({ startsAt, endsAt }): ReserveBar[] => {
      const bar = barOf({ startsAt, endsAt }, { firstDay, days, ends });
      return bar ? [{ ...bar, startsAt, endsAt }] : [];
    });
    return {
      id: rowIdOf(own[0]),
      name: rowNameOf(own[0]),
      lanes: Math.max(1, ends.length),
      closures: closureBars,
      reserves: reserveBars,
    };
  });
}

/** What all names say before their first comma, where that is the same: "Central Airport"; '' where it is not. */
export function sharedHead(names: readonly string[]): string {
  const heads = new Set(names.map((name) => name.split(',')[0].trim()));
  const [head] = heads;
  return names.length > 1 && heads.size === 1 && names.every((name) => name.includes(',')) ? head : '';
}

type Placed = Pick<Closure, 'facilityId' | 'facilityName' | 'part'>;

/** The row that a closure stands in: each direction of a highway has one, whatever its lanes. */
export const rowIdOf = ({ facilityId, part }: Placed): string =>
  part ? `${facilityId}|${part.direction}` : facilityId;
const rowNameOf = ({ facilityName, part }: Placed): string =>
  part ? `${facilityName}, ${DIRECTION_LABELS[part.direction].toLowerCase()}` : facilityName;

/** Whether two closures close the same: of one facility as a whole, or the same part of it. */
export const closesSame = (a: Placed, b: Placed): boolean =>
  (a.part?.id ?? a.facilityId) === (b.part?.id ?? b.facilityId);

/** Starts of the closures that close the same as one of them. */
export const startsOfSame = (closures: readonly Closure[], closure: Placed): Set<string> =>
  new Set(closures.filter((each) => closesSame(each, closure)).map(({ startsAt }) => startsAt));

/** Closures by facility and direction, each in the order of time: airfields first, then by name. */
function facilitiesOf(closures: readonly Closure[]): Closure[][] {
  const byFacility = new Map<string, Closure[]>();
  for (const closure of [...closures].sort(byStart)) {
    const own = byFacility.get(rowIdOf(closure));
    if (own) own.push(closure);
    else byFacility.set(rowIdOf(closure), [closure]);
  }
  return [...byFacility.values()].sort(
    ([a], [b]) =>
      KINDS.indexOf(a.facilityKind) - KINDS.indexOf(b.facilityKind) || rowNameOf(a).localeCompare(rowNameOf(b)),
  );
}

export const byStart = (a: Period, b: Period): number =>
  a.startsAt < b.startsAt ? -1 : a.startsAt > b.startsAt ? 1 : 0;

/** null: none of it lies in the days shown. `ends` holds the first free column of each lane, and is moved on. */
function barOf(
  period: Period,
  { firstDay, days, ends }: { readonly firstDay: string; readonly days: number; readonly ends: number[] },
): Bar | null {
  const start = dayNumber(period.startsAt) - dayNumber(firstDay);
  const from = Math.max(0, start);
  const to = Math.min(days, start + spanDays(period));
  if (to <= from) return null;
  const free = ends.findIndex((end) => end <= from);
  const lane = free < 0 ? ends.length : free;
  ends[lane] = to;
  return { column: from, span: to - from, lane };
}

export type Step = 'left' | 'right' | 'up' | 'down' | 'first' | 'last';

/** The closure that an arrow key leads to: along the facility in time, or to the nearest day of the next facility. */
export function stepFrom(closures: readonly Closure[], uid: string, step: Step): Closure | null {
  const rows = facilitiesOf(closures);
  const row = rows.findIndex((own) => own.some((closure) => closure.uid === uid));
  if (row < 0) return null;
  const own = rows[row];
  const place = own.findIndex((closure) => closure.uid === uid);
  if (step === 'left') return own[place - 1] ?? null;
  if (step === 'right') return own[place + 1] ?? null;
  if (step === 'first') return own[0];
  if (step === 'last') return own[own.length - 1];
  const next = rows[step === 'up' ? row - 1 : row + 1];
  if (!next) return null;
  const day = dayNumber(own[place].startsAt);
  const distance = (closure: Closure) => Math.abs(dayNumber(closure.startsAt) - day);
  return next.reduce((best, closure) => (distance(closure) < distance(best) ? closure : best));
}

/** Closures by the week in which they start. */
export function byWeek(closures: readonly Closure[]): { readonly week: string; readonly closures: Closure[] }[] {
  const weeks = new Map<string, Closure[]>();
  for (const closure of [...closures].sort(byStart)) {
    const week = weekOf(closure.startsAt);
    weeks.set(week, [...(weeks.get(week) ?? []), closure]);
  }
  return [...weeks].map(([week, own]) => ({ week, closures: own }));
}

/** Days on which something is closed, each with what is closed in a window that starts on it or lasts over it. */
export function closedByDay(closures: readonly Closure[]): { readonly day: string; readonly closures: Closure[] }[] {
  const days = new Map<string, Closure[]>();
  for (const closure of [...closures].sort(byStart)) {
    if (closure.state === 'lost') continue;
    for (const day of daysFrom(closure.startsAt.slice(0, 10), spanDays(closure)))
      days.set(day, [...(days.get(day) ?? []), closure]);
  }
  return [...days].map(([day, own]) => ({ day, closures: own })).sort((a, b) => (a.day < b.day ? -1 : 1));
}
