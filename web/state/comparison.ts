import type { ComparedFamily, ComparisonRequest, ComparisonRow } from '../../server/schemas/models.ts';
import type { Settings } from '../../server/schemas/settings.ts';
import type { Family } from '../../server/schemas/words.ts';
import { type FieldProblem, parseDecimal } from './budget-edit.ts';
import { formatShare } from './format.ts';
import { COMPARED_FAMILY_LABELS, COVARIATE_LABELS, leftOutText } from './model-words.ts';
import { FAMILY_LABELS, labelOf } from './words.ts';

/** `one-change`: the present settings, varied one at a time; `combinations`: all that is chosen with all else chosen. */
export type ComparisonMode = 'one-change' | 'combinations';
export type SwitchHow = 'each' | 'together';

/** What to compare, as chosen and typed. */
export interface ComparisonDraft {
  readonly mode: ComparisonMode;
  readonly families: readonly ComparedFamily[];
  /** Percentages with commas or blanks between them. */ readonly thresholdsPercent: string;
  /** Covariates tried the other way: left out if they are in the model now, taken in if they are not. */
  readonly switched: readonly string[];
  readonly switchHow: SwitchHow;
}

/** Bounds of the request's schema and of its route. */
const MOST_THRESHOLDS = 6;
const MOST_SETS = 12;
export const MOST_MODELS = 60;

const percentText = (share: number): string => String(Number((share * 100).toFixed(4)));

export const draftComparison = (settings: Settings): ComparisonDraft => ({
  mode: 'one-change',
  families: ['weibull', 'lognormal', 'loglogistic', 'generalised-gamma'],
  thresholdsPercent: percentText(settings.failureThresholdShare),
  switched: [],
  switchHow: 'each',
});

/** The list with one entry put in or taken out. */
export const toggled = <T>(list: readonly T[], entry: T): T[] =>
  list.includes(entry) ? list.filter((other) => other !== entry) : [...list, entry];

/**
 * What to ask for, or what must be mended first.
 * @returns models: how many will be fitted; null where the server decides
 */
export function readComparison(
  draft: ComparisonDraft,
  settings: Settings,
): { request: ComparisonRequest; models: number | null; problems: FieldProblem[] } {
  if (draft.mode === 'one-change') return { request: {}, models: null, problems: [] };
  const problems: FieldProblem[] = [];
  if (draft.families.length === 0)
    problems.push({ key: 'families', field: 'families', message: 'Choose at least one family.' });
  const thresholds = readThresholds(draft.thresholdsPercent);
  if (thresholds === null)
    problems.push({
      key: 'thresholds',
      field: 'thresholdsPercent',
      message: `Give 1 to ${MOST_THRESHOLDS} numbers from 1 to 100, for example 5, 10, 20.`,
    });
  const leaveOut = leaveOutSets(draft, settings);
  if (leaveOut.length > MOST_SETS)
    problems.push({
      key: 'leaveOut',
      field: 'switched',
      message: `Try at most ${MOST_SETS - 1} covariates one at a time, or all together.`,
    });
  const models = draft.families.length * (thresholds ?? []).length * leaveOut.length;
  if (models > MOST_MODELS)
    problems.push({
      key: 'count',
      field: 'count',
      message: `These are ${models} models; at most ${MOST_MODELS} at a time. Choose fewer of each.`,
    });
  return { request: { families: [...draft.families], thresholds: thresholds ?? [], leaveOut }, models, problems };
}

/** Shares from "5, 10 20 %"; null where one is not a number from 1 to 100, or there are none or too many. */
function readThresholds(text: string): number[] | null {
  const parts = text.split(/[\s,;%]+/).filter((part) => part !== '');
  const percents = parts.map(parseDecimal);
  if (percents.some((percent) => percent === null || percent < 1 || percent > 100)) return null;
  const shares = [...new Set(percents.map((percent) => Number(((percent ?? 0) / 100).toFixed(8))))];
  return shares.length === 0 || shares.length > MOST_THRESHOLDS ? null : shares;
}

/** The present set first, so that the comparison holds what is used now. */
function leaveOutSets({ switched, switchHow }: ComparisonDraft, { leftOutCovariates }: Settings): string[][] {
  const present = [...leftOutCovariates];
  if (switched.length === 0) return [present];
  return switchHow === 'together'
    ? [present, switched.reduce(toggled, present)]
    : [present, ...switched.map((name) => toggled(present, name))];
}

const isFamily = (family: ComparedFamily): family is Family => Object.hasOwn(FAMILY_LABELS, family);

/** The settings that use a compared model; null for one that forecasts cannot use. */
export function settingsToAdopt(row: ComparisonRow, settings: Settings): Settings | null {
  if (!row.adoptable || !isFamily(row.family)) return null;
  return {
    ...settings,
    family: row.family,
    failureThresholdShare: row.failureThresholdShare,
    leftOutCovariates: row.leftOut.map(({ name }) => name),
  };
}

export interface SettingChange {
  readonly name: string;
  readonly from: string;
  readonly to: string;
}

type Fitted = Pick<Settings, 'family' | 'failureThresholdShare' | 'leftOutCovariates'>;

/** What adopting changes, setting by setting. */
export function settingChanges(now: Fitted, then: Fitted): SettingChange[] {
  const without = ({ leftOutCovariates }: Fitted) =>
    leftOutText(leftOutCovariates.map((name) => labelOf(COVARIATE_LABELS, name)).sort());
  return [
    { name: 'Family', from: FAMILY_LABELS[now.family], to: FAMILY_LABELS[then.family] },
    {
      name: 'Failed from a damaged share of',
      from: formatShare(now.failureThresholdShare),
      to: formatShare(then.failureThresholdShare),
    },
    { name: 'Covariates left out', from: without(now), to: without(then) },
  ].filter(({ from, to }) => from !== to);
}

export type ComparisonMeasure = 'score' | 'aic' | 'lives';

/**
 * Rows of one picture, the best first; those without the measure are left to the table. Scores and AIC are drawn for the
 * present threshold alone: with another one other things are forecast, and other seals count as failed.
 */
export function rankedRows(rows: readonly ComparisonRow[], measure: ComparisonMeasure, most: number): ComparisonRow[] {
  const present = rows.find((row) => row.current);
  const sameThreshold = (row: ComparisonRow) => !present || row.failureThresholdShare === present.failureThresholdShare;
  const value = (row: ComparisonRow): number | null => {
    if (measure === 'lives') return row.medianLifeYears?.median ?? null;
    if (measure === 'score') return sameThreshold(row) ? row.backTestLogScore : null;
    return row.comparable ? row.aicDifference : null;
  };
  const ranked = rows
    .filter((row) => value(row) !== null)
    .sort((a, b) => (value(a) ?? 0) - (value(b) ?? 0) || (a.label < b.label ? -1 : 1));
  const shown = ranked.slice(0, most);
  // The present model is always in sight: the others are judged against it.
  return present && ranked.includes(present) && !shown.includes(present)
    ? [...shown.slice(0, most - 1), present]
    : shown;
}

/** What sets each row apart from the present one, in few words for the axis of a picture; whole labels where two clash. */
export function shortLabels(rows: readonly ComparisonRow[]): Map<ComparisonRow, string> {
  const present = rows.find((row) => row.current);
  const short = new Map(rows.map((row) => [row, shortLabel(row, present)]));
  const unique = new Set(short.values()).size === rows.length;
  return unique ? short : new Map(rows.map((row) => [row, row.label]));
}

function shortLabel(row: ComparisonRow, present: ComparisonRow | undefined): string {
  if (row === present || !present) return row.label;
  const added = row.leftOut.filter(({ name }) => !present.leftOut.some((other) => other.name === name));
  const back = present.leftOut.filter(({ name }) => !row.leftOut.some((other) => other.name === name));
  const list = (covariates: ComparisonRow['leftOut']) => covariates.map(({ label }) => label.toLowerCase()).join(', ');
  const differences = [
    row.family === present.family ? null : COMPARED_FAMILY_LABELS[row.family],
    row.failureThresholdShare === present.failureThresholdShare
      ? null
      : `failed from ${formatShare(row.failureThresholdShare)}`,
    added.length === 0 ? null : `without ${list(added)}`,
    back.length === 0 ? null : `with ${list(back)}`,
  ].filter((difference) => difference !== null);
  return differences.length === 0 ? row.label : differences.join(', ');
}

/** Why AIC and BIC of a row say nothing beside those of the present settings; null where they do. */
export function notComparableBecause(row: ComparisonRow, present: ComparisonRow | undefined): string | null {
  if (row.comparable) return null;
  if (!row.converged) return 'the fit did not settle';
  if (present && row.failureThresholdShare !== present.failureThresholdShare)
    return 'another threshold: other seals count as failed';
  if (present && row.observations !== present.observations) return 'other seals are in the fit';
  return 'other records';
}
