import type { ClosureRules } from '../../server/schemas/closure-rules.ts';
import { parseDecimal } from './budget-edit.ts';
import { lengthIn, type NumberKind, percent, readNumber, whole } from './scenario-numbers.ts';
import type { Units } from './units.ts';

/** Rules as they are being changed: numbers stand in `texts` as typed, by their place, until the rules are saved. */
export interface RulesDraft {
  /** Of the texts. */ readonly units: Units;
  /** With every typed number that can be read. */ readonly rules: ClosureRules;
  /** By place: "windows.0.mostShiftHours", "rates.saw-faces". */ readonly texts: Readonly<Record<string, string>>;
}

export const draftRules = (rules: ClosureRules, units: Units): RulesDraft => ({ units, rules, texts: {} });

const decimal = (lowest: number, highest: number, unit: string): NumberKind => ({
  show: (stored) => String(Number(stored.toFixed(2))),
  read: parseDecimal,
  lowest,
  highest,
  allowed: `a number from ${lowest} to ${highest} ${unit}`,
});

/** 1.2 is typed as 20 %. */
const WASTE: NumberKind = {
  show: (stored) => String(Number(((stored - 1) * 100).toFixed(2))),
  read: (text) => {
    const typed = parseDecimal(text);
    return typed === null ? null : Number((1 + typed / 100).toFixed(8));
  },
  lowest: 1,
  highest: 2,
  allowed: 'a number from 0 to 100 %',
};

const LEAST_RATE_M = 0.01;
const perHour = (units: Units): NumberKind => {
  const per = units === 'us' ? 'ft' : 'm';
  const length = lengthIn(units, 10_000);
  return { ...length, lowest: LEAST_RATE_M, allowed: `a rate above 0 in ${per} an hour, up to ${length.show(10_000)}` };
};

const MINUTES = whole(0, 1440, 'minutes');
/** How each number is typed; bounds are those of the schema. A star stands for the place in a list. */
const KINDS: Readonly<Record<string, (units: Units) => NumberKind>> = {
  noticeDays: () => whole(0, 365, 'days'),
  setUpMinutes: () => MINUTES,
  clearAwayMinutes: () => MINUTES,
  dryingHours: () => decimal(0, 240, 'hours'),
  leastChance: () => percent(0, 1),
  paceAllowance: () => percent(0, 0.5),
  wastageFactor: () => WASTE,
  closuresPerReserve: () => whole(1, 100, 'closures'),
  crewsAtOnce: () => whole(1, 20, 'crews'),
  'windows.*.mostShiftHours': () => decimal(1, 16, 'hours'),
  'crews.*.paceFactor': () => percent(0.1, 5),
  'crews.*.teams.*.machines': () => whole(1, 20, 'machines'),
};

/** @throws RangeError where no number is typed at the place */
export function kindAt(place: string, units: Units): NumberKind {
  if (place.startsWith('rates.')) return perHour(units);
  if (place.startsWith('openingMinutes.')) return whole(0, 20_160, 'minutes');
  const kind = KINDS[place.replace(/\.\d+/g, '.*')];
  if (!kind) throw new RangeError(`${place} is no place of a number`);
  return kind(units);
}

/** An empty field means null there. */
export const MAY_BE_EMPTY: ReadonlySet<string> = new Set(['closuresPerReserve']);

/** What the field at a place shows. */
export function textAt({ texts, rules, units }: RulesDraft, place: string): string {
  const typed = texts[place];
  if (typed !== undefined) return typed;
  const value = valueAt(rules, place.split('.'));
  return typeof value === 'number' ? kindAt(place, units).show(value) : '';
}

/** The draft with a number typed at a place of the rules. */
export function withText(draft: RulesDraft, place: string, text: string): RulesDraft {
  const texts = { ...draft.texts, [place]: text };
  if (MAY_BE_EMPTY.has(place) && text.trim() === '')
    return { ...draft, texts, rules: withValueAt(draft.rules, place.split('.'), null) };
  const read = readNumber(text, kindAt(place, draft.units));
  if (read.problem !== null) return { ...draft, texts };
  return { ...draft, texts, rules: withValueAt(draft.rules, place.split('.'), read.value) };
}

export const withRules = (draft: RulesDraft, part: Partial<ClosureRules>): RulesDraft => ({
  ...draft,
  rules: { ...draft.rules, ...part },
});

type ListName = 'exclusions' | 'safetyAreas' | 'windows' | 'barred' | 'crews';

/** The draft without a row of a list; what was typed in the rows behind it moves up with them. */
export function withoutRowAt(draft: RulesDraft, list: ListName, index: number): RulesDraft {
  const rules = { ...draft.rules, [list]: draft.rules[list].filter((_, place) => place !== index) };
  return { ...draft, rules, texts: textsWithoutRow(draft.texts, list, index) };
}

/** @param list place of the list: "crews", "crews.0.teams" */
export function textsWithoutRow(texts: RulesDraft['texts'], list: string, index: number): RulesDraft['texts'] {
  const moved = Object.entries(texts).flatMap(([place, text]): [string, string][] => {
    if (!place.startsWith(`${list}.`)) return [[place, text]];
    const [at, ...rest] = place.slice(list.length + 1).split('.');
    const row = Number(at);
    if (row === index) return [];
    return [[[list, row > index ? row - 1 : row, ...rest].join('.'), text]];
  });
  return Object.fromEntries(moved);
}

/** A rate or a time to opening that differs from its default; what equals it again is no longer the plan's own. */
export function withOwnNumber(
  draft: RulesDraft,
  place: { readonly list: 'rates' | 'openingMinutes'; readonly key: string; readonly usual: number },
  text: string,
): RulesDraft {
  const { list, key, usual } = place;
  const at = `${list}.${key}`;
  const kind = kindAt(at, draft.units);
  const texts = { ...draft.texts, [at]: text };
  // The default as it is shown stands for the default itself, with the digits that are not shown.
  const read = readNumber(text, kind, usual);
  if (text.trim() === '' || (read.problem === null && read.value === usual))
    return {
      ...draft,
      texts: text.trim() === '' ? texts : without(texts, at),
      rules: withOwn(draft.rules, list, key, null),
    };
  return read.problem === null
    ? { ...draft, texts, rules: withOwn(draft.rules, list, key, read.value) }
    : { ...draft, texts };
}

/** The plan's own rate or time to opening; null: the default holds. */
export function ownNumber(rules: ClosureRules, list: 'rates' | 'openingMinutes', key: string): number | null {
  const found =
    list === 'rates'
      ? rules.rates.find(({ operation }) => operation === key)?.metresPerHour
      : rules.openingMinutes.find(({ sealantClass }) => sealantClass === key)?.minutes;
  return found ?? null;
}

function withOwn(
  rules: ClosureRules,
  list: 'rates' | 'openingMinutes',
  key: string,
  value: number | null,
): ClosureRules {
  if (list === 'rates') {
    const others = rules.rates.filter(({ operation }) => operation !== key);
    return { ...rules, rates: value === null ? others : [...others, { operation: key, metresPerHour: value }] };
  }
  type Opening = ClosureRules['openingMinutes'][number];
  const others = rules.openingMinutes.filter(({ sealantClass }) => sealantClass !== key);
  const own: Opening[] = value === null ? [] : [{ sealantClass: key as Opening['sealantClass'], minutes: value }];
  return { ...rules, openingMinutes: [...others, ...own] };
}

function without(texts: RulesDraft['texts'], place: string): RulesDraft['texts'] {
  const { [place]: _, ...rest } = texts;
  return rest;
}

const valueAt = (within: unknown, path: readonly string[]): unknown =>
  path.reduce<unknown>((value, name) => (isRecord(value) ? value[name] : undefined), within);

const isRecord = (value: unknown): value is Record<string, unknown> => typeof value === 'object' && value !== null;

/** The same thing with one value changed; lists stay lists. */
function withValueAt<T>(within: T, [name, ...rest]: readonly string[], value: unknown): T {
  if (name === undefined) return value as T;
  if (Array.isArray(within))
    return within.map((each, index) => (index === Number(name) ? withValueAt(each, rest, value) : each)) as T;
  if (!isRecord(within)) return within;
  return { ...within, [name]: withValueAt(within[name], rest, value) };
}
