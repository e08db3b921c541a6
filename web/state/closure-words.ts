import type { Closure, Schedule } from '../../server/schemas/closures.ts';
import { formatCount, formatDay, formatLength, formatNumber, formatShare, formatWidth, NOT_KNOWN } from './format.ts';
import { type Units, volumeInUnits } from './units.ts';
import { DIRECTION_LABELS, labelOf, SEALANT_CLASS_LABELS } from './words.ts';

const MS_PER_MINUTE = 60_000;

/** When something was changed, on the reader's own clock: "3 May 2024, 14:07". */
export function formatMoment(isoInstant: string): string {
  const at = new Date(isoInstant);
  if (Number.isNaN(at.getTime())) return isoInstant;
  const two = (value: number) => String(value).padStart(2, '0');
  const day = `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
  return `${formatDay(day)}, ${two(at.getHours())}:${two(at.getMinutes())}`;
}

const WEEKDAYS = ['Sun', 'Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat'];

/** 2026-08-03 as "Mon 3 Aug 2026". */
export const formatWeekday = (isoDay: string): string =>
  `${WEEKDAYS[new Date(`${isoDay.slice(0, 10)}T00:00Z`).getUTCDay()]} ${formatDay(isoDay)}`;

export const clockOf = (local: string): string => local.slice(11, 16);

/** What the zone's clock is called at a local time: "MDT". A clock that there is not twice or not at all takes the first. */
export function zoneName(local: string, timeZone: string): string {
  const wall = Date.parse(`${local}Z`);
  const shift = wallOf(wall, timeZone) - wall;
  const parts = clocksOf(timeZone).name.formatToParts(wall - shift);
  return parts.find(({ type }) => type === 'timeZoneName')?.value ?? timeZone;
}

interface Clocks {
  readonly name: Intl.DateTimeFormat;
  /** "2026-08-03 23:00:00". */ readonly wall: Intl.DateTimeFormat;
}
/** Making a formatter takes a hundred times as long as using it, and a schedule has thousands of times. */
const clocksByZone = new Map<string, Clocks>();

function clocksOf(timeZone: string): Clocks {
  const clocks = clocksByZone.get(timeZone) ?? {
    name: new Intl.DateTimeFormat('en-US', { timeZone, timeZoneName: 'short' }),
    wall: new Intl.DateTimeFormat('sv-SE', { timeZone, dateStyle: 'short', timeStyle: 'medium' }),
  };
  clocksByZone.set(timeZone, clocks);
  return clocks;
}

/** The local clock at an instant, as if it were universal time. */
function wallOf(instant: number, timeZone: string): number {
  const local = clocksOf(timeZone).wall.format(instant);
  return Math.round(Date.parse(`${local.replace(' ', 'T')}Z`) / MS_PER_MINUTE) * MS_PER_MINUTE;
}

type Period = Pick<Closure, 'startsAt' | 'endsAt'>;

/** "Mon 3 Aug 2026, 23:00–05:00 MDT"; over more than a night with the day of its end. */
export function formatPeriod({ startsAt, endsAt }: Period, timeZone: string): string {
  const [from, to] = [zoneName(startsAt, timeZone), zoneName(endsAt, timeZone)];
  const start = `${formatWeekday(startsAt)}, ${clockOf(startsAt)}${from === to ? '' : ` ${from}`}`;
  return `${start}\u2013${endOf({ startsAt, endsAt })}\u00a0${to}`;
}

/** "23:00–05:00", with the day where it ends on a later one than the next. */
export const formatClocks = (period: Period): string => `${clockOf(period.startsAt)}\u2013${endOf(period)}`;

const endOf = ({ startsAt, endsAt }: Period): string => {
  const days = (Date.parse(endsAt.slice(0, 10)) - Date.parse(startsAt.slice(0, 10))) / (1440 * MS_PER_MINUTE);
  return days <= 1 ? clockOf(endsAt) : `${formatWeekday(endsAt)}, ${clockOf(endsAt)}`;
};

type Closed = Pick<Closure, 'facilityName' | 'part'>;

/** The facility with the direction and lanes that close, where only these do: "Highway 7, northbound, lane 2". */
export const closedName = ({ facilityName, part }: Closed): string =>
  part ? `${facilityName}, ${part.name}` : facilityName;

/** "Runway B, Mon 3 Aug 2026". */
export const closureName = (closure: Closed & Pick<Closure, 'startsAt'>): string =>
  `${closedName(closure)}, ${formatWeekday(closure.startsAt)}`;

/** Of one work, by the record of its segment: "Northbound, 1\u20132"; empty where it tells nothing. */
export function workLanes({ direction, firstLane, lastLane }: Closure['works'][number]): string {
  const first = firstLane ?? null;
  const lanes = first === null || first === lastLane ? String(first ?? '') : `${first}\u2013${lastLane ?? first}`;
  return [direction ? DIRECTION_LABELS[direction] : '', lanes].filter((word) => word !== '').join(', ');
}

/** The schedule in one sentence, in the reader's units. */
export function scheduleSentence({ totals, closures, unplaced }: Schedule, units: Units): string {
  const { lengthM, unplacedM, leftM = 0 } = totals;
  const all = lengthM + unplacedM + leftM;
  // All in one unit, so that the parts can be compared.
  const words = (metres: number) => formatLength(metres, units, all < 100_000 ? Number.POSITIVE_INFINITY : 0);
  if (all < 0.5) return 'The program has no work for these facilities in this year.';
  const left = leftM < 0.5 ? '' : ` ${words(leftM)} were lost or left undone since it was made.`;
  if (totals.closures === 0 && leftM < 0.5) return `No closure is possible: ${words(unplacedM)} of joint do not fit.`;
  if (totals.closures === 0) return `No closure is left.${left}`;
  const standing = closures.filter(({ state }) => state !== 'lost');
  const facilities = new Set(standing.map(({ facilityId }) => facilityId)).size;
  const days = standing.map(({ startsAt }) => startsAt.slice(0, 10)).sort();
  const [first, last] = [days[0], days[days.length - 1]];
  const when = first === last ? `on ${formatDay(first)}` : `from ${formatDay(first)} to ${formatDay(last)}`;
  const where = `in ${formatCount(totals.closures, 'closure')} of ${formatCount(facilities, 'facility', 'facilities')}`;
  if (unplacedM < 0.5 && leftM < 0.5) return `All ${words(all)} of joint are placed ${where} ${when}.`;
  const placed = `${words(lengthM)} of ${words(all)} of joint (${formatShare(lengthM / all)}) are placed`;
  if (unplacedM < 0.5) return `${placed} ${where} ${when}.${left}`;
  const places = new Set(unplaced.map(({ facilityId }) => facilityId)).size;
  const rest = `${words(unplacedM)} of ${formatCount(places, 'facility', 'facilities')} do not fit.`;
  return `${placed} ${where} ${when}. ${rest}${left}`;
}

/** How far the schedule can be from the best there is. */
export const proofWords = ({ workGapShare, costGapShare }: Schedule['proof']): string =>
  `${
    workGapShare < 1e-6 ? 'No schedule places more' : `No schedule places over ${formatShare(workGapShare)} more`
  }; ${costGapShare < 1e-6 ? 'none that places as much costs less' : `as much work could cost at most ${formatShare(costGapShare)} less`}`;

/** A chance that was drawn by lot: none of the draws is not never, nor all of them always. */
export const chanceWords = (share: number): string =>
  share < 0.01 ? 'under 1\u00a0%' : share > 0.99 ? 'over 99\u00a0%' : formatShare(share);

export const weatherWords = (share: number | null): string =>
  share === null ? 'Not told: no weather record to judge by' : formatShare(share);

/** Ends of an 80 % interval of a chance: "74 to 88 %". */
export const intervalWords = ([low, high]: readonly [number, number]): string =>
  `${chanceWords(low)} to ${chanceWords(high)}`;

/** The chance that the work of a closure is finished, with its 80 % interval, or in words why it is not told. */
export function finishWords({ finishChance, finishInterval, weatherChance, state }: Closure): string {
  if (state === 'done') return 'Done';
  if (state === 'lost') return 'Lost';
  if (finishChance !== null)
    return `${chanceWords(finishChance)}${finishInterval ? ` (${intervalWords(finishInterval)})` : ''}`;
  return weatherChance === null ? 'Not told: no weather record to judge by' : 'Not worked out for this closure';
}

export const STATE_LABELS: Readonly<Record<Closure['state'], string>> = {
  planned: 'Planned',
  done: 'Done',
  lost: 'Lost to weather',
};

/** All that sets a closure apart, for reading out: "locked, breaks 2 rules". */
export function closureMarks({ state, locked, byHand, conflicts }: Closure): string[] {
  return [
    state !== 'planned' && STATE_LABELS[state].toLowerCase(),
    locked && 'locked',
    byHand && 'moved by hand',
    conflicts.length > 0 && `breaks ${formatCount(conflicts.length, 'rule')}`,
  ].filter((mark): mark is string => typeof mark === 'string');
}

export function formatVolume(litres: number | null, units: Units): string {
  if (litres === null) return NOT_KNOWN;
  const { value, unit } = volumeInUnits(litres, units);
  return `${formatNumber(value, value < 100 ? 1 : 0)}\u00a0${unit}`;
}

export const formatHours = (hours: number): string =>
  `${formatNumber(hours, hours < 10 ? 1 : 0)}\u00a0${hours === 1 ? 'hour' : 'hours'}`;

/** Sealant with its waste, and rod by size: a line each. */
export function quantityLines({ sealant, rods }: Pick<Closure, 'sealant' | 'rods'>, units: Units): string[] {
  return [
    ...sealant.map(({ sealantClass, litres, metres }) => {
      const label = labelOf(SEALANT_CLASS_LABELS, sealantClass);
      if (metres !== null) return `${label}: ${formatLength(metres, units)}`;
      return litres === null
        ? `${label}: amount not known, since a width is missing on record`
        : `${label}: ${formatVolume(litres, units)}, with waste`;
    }),
    ...rods.map(({ diameterMm, metres }) =>
      diameterMm === null
        ? `Backer rod of a size to be measured: ${formatLength(metres, units)}`
        : `Backer rod ${formatWidth(diameterMm, units)} in diameter: ${formatLength(metres, units)}`,
    ),
  ];
}

const PASS_WORDS: Readonly<Record<Closure['works'][number]['pass'], string>> = {
  reseal: 'Reseal',
  open: 'Open up, to the wash',
  seal: 'Seal the dry joint',
};
export const passWords = (pass: Closure['works'][number]['pass']): string => PASS_WORDS[pass];
