import type { ClosureRules, WindowRule } from '../../server/schemas/closure-rules.ts';
import { kindAt, MAY_BE_EMPTY, type RulesDraft } from './closure-rules-draft.ts';
import { OPERATION_LABELS } from './closure-rules-words.ts';
import { type NumberKind, readNumber } from './scenario-numbers.ts';
import type { FieldProblems } from './scenario-read.ts';

type Found = readonly (readonly [place: string, message: string])[];

/** What must be mended before the rules can be sent, by the place of its field. */
export function rulesProblems({ rules, texts, units }: RulesDraft): FieldProblems {
  const typed = Object.entries(texts).flatMap(([place, text]): Found => {
    const problem = textProblem(place, text, kindAt(place, units));
    return problem === null ? [] : [[place, problem]];
  });
  const all = [
    ...typed,
    ...rules.windows.flatMap(windowProblems),
    ...rules.barred.flatMap((row, i) => [...nameProblem(`barred.${i}`, row), ...spanProblems(`barred.${i}`, row)]),
    ...rules.exclusions.flatMap(({ reason }, i) => reasonProblem(`exclusions.${i}`, reason)),
    ...rules.safetyAreas.flatMap(({ reason }, i) => reasonProblem(`safetyAreas.${i}`, reason)),
    ...rules.crews.flatMap(crewProblems),
    ...coverProblems(rules),
    ...dateProblems(rules),
  ];
  return Object.fromEntries([...all].reverse());
}

function textProblem(place: string, text: string, kind: NumberKind): string | null {
  const emptyAllowed = MAY_BE_EMPTY.has(place) || place.startsWith('rates.') || place.startsWith('openingMinutes.');
  if (emptyAllowed && text.trim() === '') return null;
  return readNumber(text, kind).problem;
}

const nameProblem = (place: string, { name }: { name: string }): Found =>
  name.trim() === '' ? [[`${place}.name`, 'Give it a name.']] : [];

const reasonProblem = (place: string, reason: string): Found =>
  reason.trim() === '' ? [[`${place}.reason`, 'Say why, for whoever reads the conflict.']] : [];

function spanProblems(place: string, { from, to }: { from: string; to: string }): Found {
  if (from === '' || to === '') return [[`${place}.${from === '' ? 'from' : 'to'}`, 'Give a day.']];
  return to < from ? [[`${place}.to`, 'It ends before it begins.']] : [];
}

const LEAST_HOURS = 0.25;
const MOST_HOURS = 24 * 28;

function windowProblems(window: WindowRule, index: number): Found {
  const place = `windows.${index}`;
  const { lengthHours, weekdays } = window;
  return [
    ...nameProblem(place, window),
    ...spanProblems(place, window),
    ...(weekdays.length === 0 ? ([[`${place}.weekdays`, 'Tick at least one day of the week.']] as const) : []),
    ...(lengthHours < LEAST_HOURS || lengthHours > MOST_HOURS
      ? ([[`${place}.lengthHours`, 'It must end a quarter of an hour to four weeks after it starts.']] as const)
      : []),
  ];
}

function crewProblems(crew: ClosureRules['crews'][number], index: number): Found {
  const place = `crews.${index}`;
  const empty = crew.teams.findIndex(({ operations }) => operations.length === 0);
  return [
    ...nameProblem(place, crew),
    ...(crew.families.length === 0 ? ([[`${place}.families`, 'Tick at least one kind of sealant.']] as const) : []),
    ...(empty >= 0
      ? ([[`${place}.teams.${empty}.operations`, 'Give the team an operation, or take it out.']] as const)
      : []),
    ...crew.away.flatMap((away, i) => spanProblems(`${place}.away.${i}`, away)),
  ];
}

/** Operations that nobody does: the work could never be finished. */
function coverProblems({ crews }: ClosureRules): Found {
  if (crews.length === 0) return [];
  const done = new Set(crews.flatMap(({ teams }) => teams.flatMap(({ operations }) => operations)));
  const missing = Object.entries(OPERATION_LABELS).filter(
    ([operation]) => operation !== 'dry' && operation !== 'open' && !done.has(operation as never),
  );
  if (missing.length === 0) return [];
  return [['crews', `Nobody does: ${missing.map(([, label]) => label.toLowerCase()).join(', ')}.`]];
}

function dateProblems({ earliestOn, latestOn }: ClosureRules): Found {
  const crossed = earliestOn !== null && latestOn !== null && latestOn < earliestOn;
  return crossed ? [['latestOn', 'It is before the earliest day.']] : [];
}

/** Where the server's name of a field is in the form; null: it has no field of its own. */
export function placeOfRulesField(field: string, rules: ClosureRules): string | null {
  const place = field.replace(/^body\./, '').replace(/^rules\.?/, '');
  const [head, index] = place.split('.');
  if (head === 'rates') return ownPlace('rates', rules.rates[Number(index)]?.operation);
  if (head === 'openingMinutes') return ownPlace('openingMinutes', rules.openingMinutes[Number(index)]?.sealantClass);
  return head in rules ? place : null;
}

const ownPlace = (list: string, key: string | undefined): string | null =>
  key === undefined ? null : `${list}.${key}`;

/** The server's refusals beside their fields; those without a field are kept apart. */
export function placeRulesProblems(
  errors: readonly { field: string; found: string; expected: string }[],
  rules: ClosureRules,
): { problems: FieldProblems; others: string[] } {
  const problems: Record<string, string> = {};
  const others: string[] = [];
  for (const { field, found, expected } of errors) {
    const place = placeOfRulesField(field, rules);
    if (place === null) others.push(`${field} is ${found}; expected ${expected}.`);
    else problems[place] ??= `Is ${found}; expected ${expected}.`;
  }
  return { problems, others };
}
