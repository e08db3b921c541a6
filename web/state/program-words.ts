import type { Interval } from '../../server/schemas/common.ts';
import type { Baseline, Program, ProgramWork, ProgramYear } from '../../server/schemas/program.ts';
import type { Scenario } from '../../server/schemas/scenario.ts';
import { roundMoney } from './budget-scale.ts';
import { formatLength, formatMoney, formatNumber, formatShare } from './format.ts';
import { lengthInUnits, type Units } from './units.ts';

export const BASELINE_LABELS: Readonly<Record<Baseline, string>> = {
  nothing: 'Do nothing',
  'worst-first': 'Worst first',
  'fixed-cycle': 'Fixed cycle',
  'all-needs-met': 'All needs met',
};
export const WHY_LABELS: Readonly<Record<ProgramWork['why'], string>> = {
  due: 'Due',
  neighbour: 'With its neighbours',
  committed: 'Committed',
  chosen: 'Chosen by hand',
  target: 'To keep a target',
};
export const QUESTION_LABELS: Readonly<Record<Program['question'], string>> = {
  'least-cost': 'Least cost under the budgets',
  'least-budget': 'Least budget that keeps the targets',
};

/** What the objective is the sum of, for the question that was asked. */
export const objectiveWords = (question: Program['question']): string =>
  question === 'least-cost' ? 'discounted cost of work and open joints' : 'discounted cost of work';

/** How far the program can be from the best there is, in plain words. */
export function boundSentence({
  question,
  objective,
  bound,
  gapShare,
  currency,
}: Pick<Program, 'question' | 'objective' | 'bound' | 'gapShare' | 'currency'>): string {
  const later = question === 'least-cost' ? ', that of the years after the horizon included,' : '';
  const what = `${objectiveWords(question)}${later}`;
  const least = `No program within these limits can have a ${what} below ${roundMoney(bound, currency)}: that is proven.`;
  if (gapShare === null) return least;
  const over = Math.max(0, objective - bound);
  if (gapShare < 5e-7) return `${least} This one is at it: none is better.`;
  return `${least} This one is ${roundMoney(over, currency)} above it, so at most ${smallShare(gapShare)} from the best.`;
}

/** What choices made by hand cost, and whether that is more than the search can tell. */
export function handMadeSentence({
  handMadeCost,
  question,
  objective,
  bound,
  currency,
}: Pick<Program, 'handMadeCost' | 'question' | 'objective' | 'bound' | 'currency'>): string {
  const what = objectiveWords(question);
  if (handMadeCost === null) return 'No choice is made by hand: the program places all work.';
  if (handMadeCost < 0.5) return `Your choices cost nothing that can be told: the ${what} is no higher with them.`;
  const adds = `Your choices add ${roundMoney(handMadeCost, currency)} to the ${what}.`;
  const room = objective - bound;
  return handMadeCost < room
    ? `${adds} That is less than the ${roundMoney(room, currency)} by which the program may miss the best, so it is not certain.`
    : adds;
}

/** A share so small that per cent with one decimal would hide it: "0.03 %". */
export function smallShare(share: number): string {
  const percent = share * 100;
  const decimals = percent >= 10 ? 0 : percent >= 1 ? 1 : Math.min(4, 1 - Math.floor(Math.log10(percent)));
  return `${formatNumber(percent, decimals)}\u00a0%`;
}

/** How much more one asks about: large enough to read, small beside a budget. */
const ONE_MORE = 1000;

/** What one more thousand in a year's budget would save, in words. */
export function budgetPriceSentence(
  { year, budgetPrice }: Pick<ProgramYear, 'year' | 'budgetPrice'>,
  currency: string,
): string {
  if (budgetPrice === null) return `No limit in ${year}.`;
  const saved = budgetPrice * ONE_MORE;
  if (saved < 0.5) return `More money in ${year} would save nothing: its budget does not bind.`;
  return `${formatMoney(ONE_MORE, currency)} more in ${year} saves ${formatMoney(saved, currency)} over the horizon.`;
}

/** Which years are worth more money, in a sentence over the picture of all years. */
export function budgetPriceHeadline(years: readonly ProgramYear[], currency: string): string {
  const limited = years.filter((year) => year.budgetPrice !== null);
  if (limited.length === 0) return 'No year has a limit, so no year is short of money.';
  const dearest = limited.reduce((most, year) => ((year.budgetPrice ?? 0) > (most.budgetPrice ?? 0) ? year : most));
  if ((dearest.budgetPrice ?? 0) * ONE_MORE < 0.5) return 'No budget binds: more money would save nothing in any year.';
  const worth = limited.filter((year) => (year.budgetPrice ?? 0) > 1).length;
  const verdict =
    worth === 0
      ? 'In no year does more money save more than itself.'
      : `In ${worth === 1 ? 'one year' : `${worth} years`} more money saves more than itself.`;
  return `Money is scarcest in ${dearest.year}. ${budgetPriceSentence(dearest, currency)} ${verdict}`;
}

/** A conflict's two numbers in the unit that they have. */
export function conflictNumber(
  value: number,
  unit: Program['conflicts'][number]['unit'],
  currency: string,
  units: Units,
) {
  if (unit === 'money') return formatMoney(value, currency);
  return unit === 'm' ? formatLength(value, units) : formatShare(value);
}

/** Metre-years in km-years or mile-years: "7,233 km-years". */
export function formatLengthYears({ median, lower, upper }: Interval, units: Units): { value: string; range: string } {
  const of = (metreYears: number) => lengthInUnits(metreYears, units, 0).value;
  const decimals = Math.abs(of(upper)) >= 100 ? 0 : 1;
  const unit = units === 'us' ? 'mile-years' : 'km-years';
  return {
    value: `${formatNumber(of(median), decimals)}\u00a0${unit}`,
    range: `${formatNumber(of(lower), decimals)} to ${formatNumber(of(upper), decimals)}`,
  };
}

export type ScenarioState = 'none' | 'current' | 'stale';

/** Whether a scenario's program still answers it, and if not, what has changed. */
export function scenarioState(
  { program, revision }: Pick<Scenario, 'program' | 'revision'>,
  version: { readonly dataVersion: number; readonly modelVersion: number | null } | undefined,
): { state: ScenarioState; words: string } {
  if (program === null) return { state: 'none', words: 'No program yet' };
  if (program.current) return { state: 'current', words: 'Program is up to date' };
  const changed = [
    program.revision !== revision && 'the scenario',
    version && version.modelVersion !== null && version.modelVersion !== program.modelVersion && 'the model',
    version && version.dataVersion !== program.dataVersion && 'the records',
  ].filter((part): part is string => typeof part === 'string');
  return { state: 'stale', words: `Out of date: ${changedWords(changed)} changed since` };
}

function changedWords(changed: readonly string[]): string {
  if (changed.length === 0) return 'prices or settings have';
  const [last] = changed.slice(-1);
  if (changed.length === 1) return `${last} ${last === 'the records' ? 'have' : 'has'}`;
  return `${changed.slice(0, -1).join(', ')} and ${last} have`;
}

/** The limits of a scenario in a line: "20 years, least cost under the budgets, $2,500,000 a year". */
export function scenarioSummary({ inputs }: Pick<Scenario, 'inputs'>, currency: string): string {
  const { budgets, targets } = inputs;
  const money = budgets.everyYear === null ? 'no limit' : `${formatMoney(budgets.everyYear, currency)} a year`;
  const own = budgets.byYear.length;
  const parts = [
    `${inputs.horizonYears} years`,
    `${money}${own === 0 ? '' : `, apart from ${own === 1 ? 'one year' : `${own} years`}`}`,
    budgets.districts.length > 0 && `${budgets.districts.length} district limits`,
    targets.length > 0 && (targets.length === 1 ? 'one target' : `${targets.length} targets`),
    inputs.committed.length > 0 && `${formatNumber(inputs.committed.length)} committed`,
    inputs.heldBack.length > 0 && `${formatNumber(inputs.heldBack.length)} held back`,
    inputs.chosen.length > 0 && `${formatNumber(inputs.chosen.length)} chosen by hand`,
  ];
  return parts.filter((part): part is string => typeof part === 'string').join(' · ');
}
