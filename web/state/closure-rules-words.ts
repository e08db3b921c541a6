import type { ClosureRules, WindowRule } from '../../server/schemas/closure-rules.ts';
import type { Facility } from '../../server/schemas/facility.ts';
import { formatCount, formatDay } from './format.ts';
import type { Units } from './units.ts';
import { DIRECTION_LABELS, FACILITY_KIND_LABELS } from './words.ts';

export const OPERATION_LABELS: Readonly<
  Record<ClosureRules['crews'][number]['teams'][number]['operations'][number] | 'dry' | 'open', string>
> = {
  'remove-old-seal': 'Remove the old seal',
  'saw-faces': 'Saw the faces',
  wash: 'Wash',
  dry: 'Dry',
  'abrasive-blast': 'Abrasive blast',
  'blow-out': 'Blow out',
  'place-rod': 'Place the rod',
  seal: 'Seal',
  inspect: 'Inspect',
  open: 'Open',
};
export const SEALANT_FAMILY_LABELS: Readonly<Record<ClosureRules['crews'][number]['families'][number], string>> = {
  silicone: 'Silicone',
  'hot-applied': 'Hot-applied',
  'cold-poured': 'Cold-poured',
  preformed: 'Preformed',
};
export const WEEKDAY_LABELS: Readonly<Record<WindowRule['weekdays'][number], string>> = {
  monday: 'Monday',
  tuesday: 'Tuesday',
  wednesday: 'Wednesday',
  thursday: 'Thursday',
  friday: 'Friday',
  saturday: 'Saturday',
  sunday: 'Sunday',
};
const WEEK = Object.keys(WEEKDAY_LABELS) as WindowRule['weekdays'];
const KIND_PLURALS: Readonly<Record<Facility['kind'], string>> = {
  highway: 'highways',
  bridge: 'bridges',
  runway: 'runways',
  taxiway: 'taxiways',
  apron: 'aprons',
};

const MINUTES_PER_DAY = 1440;

/** "23:00" and 6 h: ends at 05:00, one day later. */
export function windowEnd({ startsAt, lengthHours }: Pick<WindowRule, 'startsAt' | 'lengthHours'>): {
  readonly clock: string;
  readonly daysLater: number;
} {
  const end = clockMinutes(startsAt) + Math.round(lengthHours * 60);
  const minute = ((end % MINUTES_PER_DAY) + MINUTES_PER_DAY) % MINUTES_PER_DAY;
  const two = (value: number) => String(value).padStart(2, '0');
  return {
    clock: `${two(Math.floor(minute / 60))}:${two(minute % 60)}`,
    daysLater: Math.floor(end / MINUTES_PER_DAY),
  };
}

/** Hours from a clock time to another, so many days later; 0 or less where it ends before it starts. */
export const hoursUntil = (startsAt: string, { clock, daysLater }: ReturnType<typeof windowEnd>): number =>
  (clockMinutes(clock) - clockMinutes(startsAt) + daysLater * MINUTES_PER_DAY) / 60;

const clockMinutes = (clock: string): number => Number(clock.slice(0, 2)) * 60 + Number(clock.slice(3, 5));

/** "a, b and c"; beyond `most` the rest is counted. */
export function listed(items: readonly string[], most = 5): string {
  const shown = items.length > most ? [...items.slice(0, most - 1), `${items.length - most + 1} more`] : items;
  return shown.length < 2 ? (shown[0] ?? '') : `${shown.slice(0, -1).join(', ')} and ${shown[shown.length - 1]}`;
}

const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/** Days in words: every day, a run of them ("Monday to Thursday"), or each by name. */
export function daysInWords(weekdays: WindowRule['weekdays']): string {
  const at = WEEK.flatMap((day, index) => (weekdays.includes(day) ? [index] : []));
  if (at.length === WEEK.length) return 'every day';
  const names = at.map((index) => WEEKDAY_LABELS[WEEK[index]]);
  const run = at.length > 2 && at.every((index, place) => place === 0 || index === at[place - 1] + 1);
  return run ? `${names[0]} to ${names[names.length - 1]}` : listed(names, WEEK.length);
}

/** When a window is: "every night from 23:00 to 05:00", with its season where it is not the whole year. */
export function windowInWords(window: WindowRule, year: number): string {
  const { clock, daysLater } = windowEnd(window);
  const days = daysInWords(window.weekdays);
  return `${hoursInWords(window, days, { clock, daysLater })}${seasonInWords(window, year)}`;
}

function hoursInWords(
  { startsAt, lengthHours }: WindowRule,
  days: string,
  { clock, daysLater }: ReturnType<typeof windowEnd>,
): string {
  const every = days === 'every day';
  if (lengthHours >= 24)
    return `${every ? 'any day' : days} from ${startsAt} to ${clock} ${formatCount(daysLater, 'day')} later`;
  if (daysLater === 1 && startsAt >= '12:00')
    return `${every ? 'every night' : `on the nights of ${days}`} from ${startsAt} to ${clock}`;
  return `${every ? days : `on ${days}`} from ${startsAt} to ${clock}${daysLater > 0 ? ' the next day' : ''}`;
}

/** A season that is the plan's whole year is not worth a word. */
function seasonInWords({ from, to }: Pick<WindowRule, 'from' | 'to'>, year: number): string {
  if (from === '' || to === '' || (from <= `${year}-01-01` && to >= `${year}-12-31`)) return '';
  return `, from ${formatDay(from)} to ${formatDay(to)}`;
}

/** Whom a window is for, without a capital. */
export function windowScope(
  { facilityIds, facilityKinds, directions = [] }: Pick<WindowRule, 'facilityIds' | 'facilityKinds' | 'directions'>,
  nameOf: (id: string) => string,
): string {
  const only = directions.map((direction) => DIRECTION_LABELS[direction].toLowerCase());
  const roads = only.length === 0 ? '' : ` (roads: ${listed(only)} only)`;
  if (facilityIds.length + facilityKinds.length === 0) return `every facility${roads}`;
  return `${listed([...facilityKinds.map((kind) => KIND_PLURALS[kind]), ...facilityIds.map(nameOf)])}${roads}`;
}

/** A gate in words gives both units; here the reader's. "10 °C (50 °F)" to "50 °F". */
export const gateInUnits = (words: string, units: Units): string =>
  words.replace(/(-?[\d.]+ °C) \((-?[\d.]+ °F)\)/g, (_, c: string, f: string) => (units === 'us' ? f : c));

export interface WordsGround {
  readonly nameOf: (id: string) => string;
  /** Limits of the profile, in words. */ readonly gate: string;
  readonly units: Units;
  /** A road takes part: only roads have directions and lanes. */ readonly roads?: boolean;
}

/** What the rules say, in sentences that read as one paragraph. */
export function rulesInWords(rules: ClosureRules, ground: WordsGround): string[] {
  return [
    takesPart(rules, ground),
    ...whenClosed(rules, ground),
    together(rules, ground),
    ground.roads ? partsInWords(rules) : '',
    ...barredDays(rules, ground),
    crewsInWords(rules),
    `Each closure takes ${rules.setUpMinutes} min to set up and ${rules.clearAwayMinutes} min to clear away.${allowanceInWords(rules)} ${openJointsInWords(rules)}`,
    weatherInWords(rules, ground),
  ].filter((sentence) => sentence !== '');
}

const takesPart = ({ facilityIds, year }: ClosureRules, { nameOf }: WordsGround): string =>
  facilityIds.length === 0
    ? `All facilities with work in ${year} take part.`
    : `${capital(listed(facilityIds.map(nameOf)))} ${facilityIds.length === 1 ? 'takes' : 'take'} part in ${year}.`;

export function whenClosed({ windows, year }: ClosureRules, { nameOf }: Pick<WordsGround, 'nameOf'>): string[] {
  if (windows.length === 0) return ['There is no window yet, so nothing can be closed.'];
  return windows.map((window) => {
    const who = windowScope(window, nameOf);
    const one = window.facilityIds.length === 1 && window.facilityKinds.length === 0;
    const closes = one || who.startsWith('every facility') ? 'closes' : 'close';
    return `${capital(who)} ${closes} ${windowInWords(window, year)}.`;
  });
}

function together({ exclusions, safetyAreas }: ClosureRules, { nameOf }: WordsGround): string {
  const pairs = exclusions.map(({ facilityIds: [a, b] }) => `${nameOf(a)} with ${nameOf(b)}`);
  const needs = safetyAreas.map(
    ({ facilityId, needsClosed, segmentIds }) =>
      `${segmentIds.length === 0 ? 'work on' : 'some work on'} ${nameOf(facilityId)} needs ${nameOf(needsClosed)} closed`,
  );
  return [
    pairs.length === 0 ? 'Any facilities may be closed at the same time.' : `Never closed together: ${listed(pairs)}.`,
    ...(needs.length === 0 ? [] : [`${capital(listed(needs))}.`]),
  ].join(' ');
}

/** Nothing where roads close as a whole. */
function partsInWords({ parts }: ClosureRules): string {
  if (!parts || parts.closeBy === 'facility') return '';
  const taken = parts.closeBy === 'direction' ? 'one direction at a time' : 'only in the lanes that the work needs';
  const beside = [
    parts.directionsTogether ? 'both directions may close on the same night' : 'the other direction stays open',
    ...(parts.closeBy === 'lane'
      ? [parts.lanesTogether ? 'different lanes of one may too' : 'other lanes of the direction stay open']
      : []),
    ...(parts.acrossByHalves ? ['transverse joints across both are done half by half'] : []),
  ];
  return `Roads whose segments tell it close ${taken}: ${listed(beside)}.`;
}

function barredDays({ barred, noticeDays, earliestOn, latestOn }: ClosureRules, { nameOf }: WordsGround): string[] {
  const names = barred.map(({ name, facilityId }) => (facilityId === null ? name : `${name} (${nameOf(facilityId)})`));
  const limits = [
    earliestOn === null ? '' : `, and not before ${formatDay(earliestOn)}`,
    latestOn === null ? '' : `; the last is over by ${formatDay(latestOn)}`,
  ].join('');
  return [
    names.length === 0 ? '' : `Nothing closes on barred days: ${listed(names, 8)}.`,
    noticeDays === 0
      ? `Closures may begin on the planning date${limits}.`
      : `The first closure is ${formatCount(noticeDays, 'day')} after the planning date at the earliest${limits}.`,
  ];
}

function crewsInWords({ crews, crewsAtOnce }: ClosureRules): string {
  if (crews.length === 0) return 'There is no crew yet, so no work can be done.';
  const each = crews.map(({ name, families, paceFactor }) => {
    const sealants =
      families.length === 4
        ? 'every sealant'
        : listed(families.map((family) => SEALANT_FAMILY_LABELS[family].toLowerCase()));
    return `${name} (${sealants}${paceFactor === 1 ? '' : `, at ${Math.round(paceFactor * 100)} % of the usual pace`})`;
  });
  const room = crewsAtOnce === 1 ? 'one at a time' : `up to ${crewsAtOnce} at once`;
  return `${crews.length === 1 ? 'One crew works' : `${crews.length} crews work`}, ${room} in a facility: ${listed(each)}.`;
}

const allowanceInWords = ({ paceAllowance = 0 }: ClosureRules): string =>
  paceAllowance > 0
    ? ` Of the working time between, ${Math.round(100 * paceAllowance)} % is left free for slow nights.`
    : '';

export const openJointsInWords = ({ openJoints, washAfterSawing, dryingHours }: ClosureRules): string =>
  [
    openJoints === 'same-closure'
      ? 'A joint opened is sealed before traffic returns.'
      : 'A joint opened may carry traffic until another night; what is prepared is still sealed the same day.',
    washAfterSawing ? `Sawn joints are washed and dry ${dryingHours} h.` : 'Joints are sawn without washing.',
  ].join(' ');

export function weatherInWords(
  { leastChance, closuresPerReserve }: ClosureRules,
  { gate, units }: WordsGround,
): string {
  const limits = gateInUnits(gate, units);
  return [
    limits === '' ? '' : `Sealing needs ${limits.charAt(0).toLowerCase()}${limits.slice(1)}.`,
    leastChance === 0
      ? ''
      : `Windows in which that has a chance under ${Math.round(leastChance * 100)} % are left out.`,
    closuresPerReserve === null
      ? 'No window is kept in reserve.'
      : `One window is kept in reserve for every ${closuresPerReserve === 1 ? 'closure' : `${closuresPerReserve} closures`}.`,
  ]
    .filter((sentence) => sentence !== '')
    .join(' ');
}

export const kindPlural = (kind: Facility['kind']): string => capital(KIND_PLURALS[kind] ?? FACILITY_KIND_LABELS[kind]);
