import { type ClosureWindow, MINUTES_PER_DAY, USUAL_RULES } from '../../analytics/closures/closure-plan.ts';
import type { ClosureRules } from '../schemas/closure-rules.ts';
import type { Closure } from '../schemas/closures.ts';
import type { Facility } from '../schemas/facility.ts';
import { closedName, isWhole, unitIdOf, WHOLE_FACILITIES, wholeUnit, whyNotTogether } from './closing-unit.ts';
import { localText, minuteOf, spokenTime } from './local-time.ts';
import { barredPeriods, planFacility } from './plan-windows.ts';

export type Conflict = Closure['conflicts'][number];

/** What a closure is held against when it is moved or kept by hand. */
export interface ConflictGround {
  readonly rules: ClosureRules;
  readonly facility: Facility;
  /** ISO day from which notice counts. */ readonly planningDate: string;
  /** Windows of its facility with the chance of workable weather. */ readonly windows: readonly ClosureWindow[];
  /** The other closures of the schedule; lost ones hold nothing up. */ readonly others: readonly Closure[];
}

/** Rules that a closure breaks, each with a sentence; empty when it breaks none. */
export const closureConflicts = (closure: Closure, ground: ConflictGround): Conflict[] => [
  ...windowConflicts(closure, ground),
  ...dateConflicts(span(closure), ground),
  ...besideOthers(closure, ground),
];

/** Rules that it breaks beside the other closures: what changes when one of those does. */
function besideOthers(closure: Closure, { others: all, rules }: Pick<ConflictGround, 'others' | 'rules'>): Conflict[] {
  const others = all.filter(({ id, state }) => id !== closure.id && state !== 'lost');
  return [
    ...togetherConflicts(closure, others, rules),
    ...safetyConflicts(closure, others, rules),
    ...crewConflicts(closure, others, rules),
    ...orderConflicts(closure, others, rules),
  ];
}

/** Rules of a closure by itself: its window, weather and dates. */
const OWN_RULES: ReadonlySet<string> = new Set([
  'no-window',
  'weather',
  'window-too-short',
  'notice',
  'latest-date',
  'barred',
]);

/** The conflicts of a closure after another has changed: those of its own window and dates stay as they were told. */
export const conflictsAgain = (closure: Closure, ground: Pick<ConflictGround, 'others' | 'rules'>): Conflict[] => [
  ...closure.conflicts.filter(({ rule }) => OWN_RULES.has(rule)),
  ...besideOthers(closure, ground),
];

const span = ({ startsAt, endsAt }: Pick<Closure, 'startsAt' | 'endsAt'>) => ({
  startMinute: minuteOf(startsAt),
  endMinute: minuteOf(endsAt),
});
type Span = ReturnType<typeof span>;
const overlap = (a: Span, b: Span): boolean => a.startMinute < b.endMinute && b.startMinute < a.endMinute;
const times = ({ startsAt, endsAt }: Pick<Closure, 'startsAt' | 'endsAt'>): string =>
  `${spokenTime(startsAt)} to ${spokenTime(endsAt)}`;

function windowConflicts(closure: Closure, { windows, rules, facility }: ConflictGround): Conflict[] {
  const { startMinute, endMinute } = span(closure);
  const window = windows.find((each) => each.startMinute === startMinute && each.endMinute === endMinute);
  if (!window)
    return [
      {
        rule: 'no-window',
        sentence: `${facility.name} has no window from ${times(closure)}; the rules give other times.`,
      },
    ];
  const found: Conflict[] = [];
  const chances = Object.values(window.chanceByGate);
  const chance = chances.length === 0 ? 1 : Math.min(...chances);
  if (chance < rules.leastChance)
    found.push({
      rule: 'weather',
      sentence: `Workable weather has a chance of ${percent(chance)} then; the least that is used is ${percent(rules.leastChance)}.`,
    });
  if (minuteOf(closure.opensAt) > endMinute)
    found.push({
      rule: 'window-too-short',
      sentence: `Its work lasts until ${spokenTime(closure.opensAt)}, past the end of the window.`,
    });
  return found;
}

const percent = (share: number): string => `${Math.round(share * 100)} %`;

/** What notice, dates and barred periods say against some hours. */
export function dateConflicts(
  { startMinute, endMinute }: Span,
  { rules, facility, planningDate }: Pick<ConflictGround, 'rules' | 'facility' | 'planningDate'>,
): Conflict[] {
  const { earliestMinute, latestMinute } = planFacility(rules, wholeUnit(facility), planningDate);
  const found: Conflict[] = [];
  if (earliestMinute !== null && startMinute < earliestMinute)
    found.push({
      rule: 'notice',
      sentence: `${facility.name} may not close before ${spokenTime(localText(earliestMinute))}: notice of ${rules.noticeDays} days, or the earliest date.`,
    });
  if (latestMinute !== null && endMinute > latestMinute)
    found.push({
      rule: 'latest-date',
      sentence: `${facility.name} must be open again by ${spokenTime(localText(latestMinute))}, the latest date.`,
    });
  for (const barred of barredPeriods(rules))
    if (
      (barred.facilityId === null || barred.facilityId === facility.id) &&
      overlap(barred, { startMinute, endMinute })
    )
      found.push({ rule: 'barred', sentence: `${facility.name} may not close in ${barred.name}.` });
  return found;
}

const WHOLE = { direction: null, lanes: [] };

/** Itself twice, other parts of its facility, and facilities that exclude it. */
function togetherConflicts(
  closure: Closure,
  others: readonly Closure[],
  { exclusions, parts = WHOLE_FACILITIES }: ClosureRules,
): Conflict[] {
  const own = span(closure);
  return others.flatMap((other): Conflict[] => {
    if (!overlap(own, span(other))) return [];
    if (unitIdOf(other) === unitIdOf(closure))
      return [{ rule: 'closed-already', sentence: `${closedName(closure)} is closed already, from ${times(other)}.` }];
    const reason =
      other.facilityId === closure.facilityId
        ? whyNotTogether(closure.part ?? WHOLE, other.part ?? WHOLE, parts)
        : (exclusions.find(
            ({ facilityIds }) => facilityIds.includes(closure.facilityId) && facilityIds.includes(other.facilityId),
          )?.reason ?? null);
    if (reason === null) return [];
    const sentence = `${closedName(other)} is closed from ${times(other)}, and the two are never closed together: ${reason}`;
    return [{ rule: 'exclusion', sentence: ended(sentence) }];
  });
}

const ended = (sentence: string): string => (/[.!?]$/.test(sentence) ? sentence : `${sentence}.`);

/** Work of its own that needs another facility closed, and work of others that needs this one closed. */
function safetyConflicts(closure: Closure, others: readonly Closure[], { safetyAreas }: ClosureRules): Conflict[] {
  const covers = (facilityId: string, at: Span) =>
    [closure, ...others].some((each) => {
      const { startMinute, endMinute } = span(each);
      const whole = each.facilityId === facilityId && isWhole(each.part ?? WHOLE);
      return whole && startMinute <= at.startMinute && endMinute >= at.endMinute;
    });
  const found: Conflict[] = [];
  for (const area of safetyAreas)
    for (const each of [closure, ...others]) {
      const concerns = each === closure || area.needsClosed === closure.facilityId;
      if (!concerns || each.facilityId !== area.facilityId) continue;
      const inside = ({ segmentId }: { segmentId: string }) =>
        area.segmentIds.length === 0 || area.segmentIds.includes(segmentId);
      if (each.works.filter(inside).every((work) => covers(area.needsClosed, span(work)))) continue;
      const sentence = `Work on ${closedName(each)} from ${times(each)} needs ${area.needsClosed} closed all the while: ${area.reason}`;
      found.push({ rule: 'closure-not-possible', sentence: ended(sentence) });
    }
  return found;
}

/** Crews that are away, at work elsewhere, or not rested. */
function crewConflicts(closure: Closure, others: readonly Closure[], { crews }: ClosureRules): Conflict[] {
  const { restMinutes } = USUAL_RULES;
  return closure.crews.flatMap((crewId): Conflict[] => {
    const crew = crews.find(({ id }) => id === crewId);
    if (!crew) return [{ rule: 'no-crew', sentence: `There is no crew ${crewId} any more.` }];
    const own = crewSpan(closure, crewId);
    const away = crew.away.find(
      ({ from, to }) =>
        minuteOf(`${from}T00:00`) < own.endMinute && own.startMinute < minuteOf(`${to}T00:00`) + MINUTES_PER_DAY,
    );
    if (away) return [{ rule: 'crews-busy', sentence: `${crew.name} is away from ${away.from} to ${away.to}.` }];
    const busy = others.find((other) => {
      if (!other.crews.includes(crewId)) return false;
      const { startMinute, endMinute } = crewSpan(other, crewId);
      return overlap(own, { startMinute: startMinute - restMinutes, endMinute: endMinute + restMinutes });
    });
    if (!busy) return [];
    const sentence = `${crew.name} works on ${closedName(busy)} from ${times(busy)}, and rests ${restMinutes / 60} h between shifts.`;
    return [{ rule: 'crews-busy', sentence }];
  });
}

/** From the first to the last work of a crew in a closure. */
const crewSpan = ({ works, ...closure }: Closure, crewId: string): Span => {
  const own = works.filter((work) => work.crewId === crewId).map(span);
  if (own.length === 0) return span(closure);
  return {
    startMinute: Math.min(...own.map(({ startMinute }) => startMinute)),
    endMinute: Math.max(...own.map(({ endMinute }) => endMinute)),
  };
};

/** A joint is sealed after it was opened and has dried. */
function orderConflicts(closure: Closure, others: readonly Closure[], { dryingHours }: ClosureRules): Conflict[] {
  const all = [closure, ...others].flatMap((each) => each.works.map((work) => ({ work, own: each === closure })));
  const opened = all.filter(({ work }) => work.pass === 'open');
  const sealed = all.filter(({ work }) => work.pass === 'seal');
  const segments = new Set<string>();
  for (const open of opened)
    for (const seal of sealed) {
      if (!(open.own || seal.own) || open.work.segmentId !== seal.work.segmentId) continue;
      if (open.work.fromM >= seal.work.toM || seal.work.fromM >= open.work.toM) continue;
      if (minuteOf(seal.work.startsAt) < minuteOf(open.work.endsAt) + dryingHours * 60)
        segments.add(open.work.segmentId);
    }
  if (segments.size === 0) return [];
  const named = [...segments].slice(0, 5).join(', ');
  const more = segments.size > 5 ? ` and ${segments.size - 5} more` : '';
  return [
    { rule: 'order', sentence: `A joint is sealed ${dryingHours} h after it was opened or later: ${named}${more}.` },
  ];
}
