import { WORST_FIRST_CHANCE } from '../../analytics/program/baselines.ts';
import type { ProgramConflict, ProgramSolution } from '../../analytics/program/program-problem.ts';
import type { Interval } from '../schemas/common.ts';
import type { Baseline, Program } from '../schemas/program.ts';
import type { ScenarioInputs } from '../schemas/scenario.ts';
import type { LeftOut } from './planning-ground.ts';
import type { ScenarioProgramInput } from './scenario-program-input.ts';
import type { ScenarioTerms } from './scenario-terms.ts';

const M_PER_FOOT = 0.3048;

/** Money as people say it: whole below a million, millions with two decimals above. */
export function moneyWords(money: number, currency: string): string {
  const size = Math.abs(money);
  const shown =
    size >= 1e6
      ? `${(money / 1e6).toFixed(2)} million`
      : Math.round(money).toLocaleString('en-US').replace(/^-0$/, '0');
  return `${currency} ${shown}`;
}

export const percentWords = (share: number, digits = 1): string => `${+(100 * share).toFixed(digits)} %`;

/** A gap in words: one below what is shown says so. */
export const gapWords = (share: number): string =>
  share === 0 ? '0 %' : share < 0.0001 ? 'under 0.01 %' : percentWords(share, 2);

const between = ({ lower, upper }: Interval, say: (value: number) => string): string =>
  `${say(lower)} to ${say(upper)}`;

/** The program in a few plain sentences, in words that fit any unit of length. */
export function programSentence(program: Omit<Program, 'sentence'>): string {
  const { totals, currency, priceYear, years, status, question } = program;
  const [first, last] = [years[0], years[years.length - 1]];
  const segments = totals.works === 1 ? 'One reseal' : `${totals.works.toLocaleString('en-US')} reseals`;
  const money = (value: number) => moneyWords(value, currency);
  const cost = `${segments} from ${first.year} to ${last.year} cost ${money(totals.nominalCost.median)} in money of each year (80 % interval ${between(totals.nominalCost, money)}), worth ${money(totals.presentCost.median)} now in money of ${priceYear}`;
  const share = `failed length goes from ${percentWords(first.failedShare.median)} at the end of ${first.year} to ${percentWords(last.failedShare.median)} at the end of ${last.year} (${between(last.failedShare, percentWords)})`;
  const aim = question === 'least-cost' ? 'cost' : 'spending';
  const gap =
    program.gapShare === null
      ? ''
      : ` ${status === 'stopped' ? 'It was stopped before the end, and its' : 'Its'} ${aim} is within ${gapWords(program.gapShare)} of a bound that no program can beat.`;
  const short = status === 'infeasible' ? 'No program keeps every limit; this is the nearest that was found. ' : '';
  return `${short}${cost}; ${share}.${gap}`;
}

/** What cannot be kept together, by how much, and what would help. */
export function conflictSentence(
  conflict: ProgramConflict,
  { conflictsProven }: Pick<ProgramSolution, 'conflictsProven'>,
  { limits, targets }: Pick<ScenarioProgramInput, 'limits' | 'targets'>,
  { currency, priceYear }: { currency: string; priceYear: number },
): string {
  const { reachable, asked } = conflict;
  const limit = conflict.in === 'limits' ? limits[conflict.row] : null;
  const { name } = limit ?? targets[conflict.row];
  const money = (value: number) => `${moneyWords(value, currency)} (money of ${priceYear})`;
  const length = (value: number) =>
    `${Math.round(value).toLocaleString('en-US')} m (${Math.round(value / M_PER_FOOT).toLocaleString('en-US')} ft)`;
  const say = !limit ? (value: number) => percentWords(value, 2) : limit.of === 'money' ? money : length;
  const [subject, by] = [`${name[0].toUpperCase()}${name.slice(1)}`, say(Math.abs(reachable - asked))];
  const certain = conflictsProven ? '' : ' No program that keeps it was found; that there is none is not proven.';
  if (!limit)
    return `${subject} is to be at most ${say(asked)}; the nearest that can be reached beside all else that is asked is ${say(reachable)}, ${by} too much. More money or crew in the years before, or a later first year of the target, would help.${certain}`;
  return reachable > asked
    ? `${subject} is ${say(asked)}, and what is committed, targets and least jobs need ${say(reachable)}: ${by} more. Raise it, or move settled work to other years.${certain}`
    : `${subject} is to be at least ${say(asked)}, and only ${say(reachable)} can be used there: ${by} less. Lower the floor.${certain}`;
}

export const conflictUnit = (
  conflict: ProgramConflict,
  { limits }: Pick<ScenarioProgramInput, 'limits'>,
): 'money' | 'm' | 'share' =>
  conflict.in === 'targets' ? 'share' : limits[conflict.row].of === 'money' ? 'money' : 'm';

/** The rule of a baseline in a sentence. */
export function baselineRule(baseline: Baseline, { fixedCycleYears }: Pick<ScenarioInputs, 'fixedCycleYears'>): string {
  switch (baseline) {
    case 'nothing':
      return 'No reseal but what is committed or placed by hand.';
    case 'worst-first':
      return `Each year the greatest expected failed length first, among joints with a chance of ${percentWords(WORST_FIRST_CHANCE, 0)} or more of having failed, until the limits of the year are reached.`;
    case 'fixed-cycle':
      return `Every seal resealed at an age of ${fixedCycleYears} years, the longest overdue first where the limits leave too little room.`;
    case 'all-needs-met':
      return 'Every segment in its own cheapest years, as if there were no limits; mobilisation is paid for each visit.';
    default:
      return baseline satisfies never;
  }
}

export interface AssumptionsAsked {
  readonly inputs: ScenarioInputs;
  readonly terms: ScenarioTerms;
  readonly currency: string;
  readonly planningDate: string;
  readonly modelVersion: number;
  readonly leftOut: LeftOut;
  readonly unpriced: number;
  readonly draws: number;
  /** See `PlanningGround`. */ readonly yearsDiffer: boolean;
}

/** What the program takes for granted. */
export function assumptionWords(asked: AssumptionsAsked): string[] {
  const { inputs, terms, currency, leftOut, unpriced } = asked;
  const [first, last] = [terms.planningYear, terms.planningYear + inputs.horizonYears - 1];
  const count = (value: number) => value.toLocaleString('en-US');
  return [
    `Forecast from ${asked.planningDate} by model version ${asked.modelVersion}; years ${first} to ${last}. Work of a year counts at its end: a joint resealed in a year is not failed at the end of that year.`,
    `Prices are in ${currency} of ${terms.priceYear} and rise by ${percentWords(terms.escalationPerYear, 2)} a year. Costs are compared in constant money, discounted at a real ${percentWords(terms.discountRatePerYear, 2)} a year to ${first} (FHWA-SA-98-079).`,
    'The least cost counts work, mobilisation with traffic control once for each facility and year with any work, open failed joints, and what follows the horizon: each seal goes on to be resealed at its cheapest age for good.',
    `A failed joint left open costs what the scenario or the settings say, times the consequence weight of its segment. This is the least certain of all inputs: try others.`,
    `Intervals hold 80 % of outcomes over ${asked.draws} draws: uncertainty of the model,${asked.yearsDiffer ? ' years that are hard or easy on all seals in place,' : ''} luck of each seal, and prices of each class and year with a log standard deviation of ${percentWords(terms.priceLogSd)}. The same draws serve every scenario, so differences are differences of programs. The middle figure of a cost is at listed prices, so that figures add up and keep the budgets.`,
    `Left out: ${count(leftOut.unsealed)} segments without a seal in place or unsealed by policy, ${count(leftOut.leftAlone)} left alone on purpose, ${count(leftOut.notInModel)} of a class that the model has not met.`,
    ...(unpriced > 0
      ? [
          `${count(unpriced)} segments are in the failed share but are never resealed: no allowed class has a price there.`,
        ]
      : []),
    ...(inputs.heldBack.length > 0
      ? [
          'Segments whose pavement is replaced leave the program in that year: neither failed nor resealed from then on.',
        ]
      : []),
  ];
}

export const CAUTIONS: readonly string[] = [
  'A program is for planning. It is not a safety assessment, and does not replace inspection, design or the judgement of a licensed engineer.',
  'Look at each segment before work is ordered: the forecast says what is likely, not what is there.',
  'Sawing and blasting concrete raises silica dust, and work beside traffic or aircraft kills. Follow safety data sheets, local codes, traffic or airside control, and the rules of the operator.',
];
