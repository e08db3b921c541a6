import type { Program } from '../schemas/program.ts';
import type { ScenarioInputs } from '../schemas/scenario.ts';
import {
  type FacilityKind,
  JOINT_TYPES,
  type JointType,
  SEALANT_CLASSES,
  type SealantClass,
} from '../schemas/words.ts';
import { type ClassChoice, classChoice } from './class-choice.ts';
import { moneyWords, percentWords } from './program-words.ts';
import type { ScenarioAsked } from './scenario-program-input.ts';
import { ofKind, openCostPerMYear } from './scenario-terms.ts';

const M_PER_FOOT = 0.3048;
const LISTED = 12;

type AskedLine = Program['asked'][number];

/** What a scenario asked, in lines that fit any unit of length: what depends on one is told in metres and in feet. */
export function askedWords(asked: ScenarioAsked, kinds: readonly FacilityKind[]): AskedLine[] {
  const { inputs, settings, terms } = asked;
  const say = new AskedUnits(settings.currency);
  const [first, last] = [terms.planningYear, terms.planningYear + inputs.horizonYears - 1];
  const prices = `Money of ${terms.priceYear}, rising by ${percentWords(terms.escalationPerYear, 2)} a year; standard deviation of the log of a year's price ${terms.priceLogSd}`;
  return [
    { what: 'Question', value: questionWords(inputs) },
    { what: 'Years', value: `${first} to ${last}` },
    { what: 'Budget', value: budgetWords(inputs, say) },
    ...districtLines(inputs, say),
    ...targetLines(inputs),
    { what: 'Prices', value: prices },
    { what: 'Discount rate', value: `Real, ${percentWords(terms.discountRatePerYear, 2)} a year` },
    ...classLines(asked, say),
    ...kinds.flatMap((kind) => kindLines(kind, asked, say)),
    ...wishLines(inputs, say),
  ];
}

/** Figures as the lines tell them. */
class AskedUnits {
  private readonly currency: string;

  constructor(currency: string) {
    this.currency = currency;
  }

  money(value: number): string {
    return moneyWords(value, this.currency);
  }

  perLength(perM: number): string {
    return `${this.currency} ${perM.toFixed(2)} a metre (${(perM * M_PER_FOOT).toFixed(2)} a foot)`;
  }

  length(lengthM: number): string {
    const count = (value: number) => Math.round(value).toLocaleString('en-US');
    return `${count(lengthM)} m (${count(lengthM / M_PER_FOOT)} ft)`;
  }
}

/** The first of many, and how many more. */
function some(words: readonly string[], between = ', '): string {
  const more = words.length - LISTED;
  return words.slice(0, LISTED).join(between) + (more > 0 ? ` and ${more.toLocaleString('en-US')} more` : '');
}

const plainWords = (word: string): string => word.replaceAll('-', ' ');

const questionWords = ({ question }: ScenarioInputs): string =>
  question === 'least-cost'
    ? 'Least discounted cost of work, open joints and what follows, under the limits'
    : 'Least discounted spending that keeps the targets and limits';

function budgetWords({ budgets }: ScenarioInputs, say: AskedUnits): string {
  const limit = (atMost: number | null) => (atMost === null ? 'no limit' : say.money(atMost));
  const kind = budgets.moneyOf === 'each-year' ? 'money of each year' : 'money of the price year';
  const every = budgets.everyYear === null ? 'No limit' : `${say.money(budgets.everyYear)} in every year (${kind})`;
  if (budgets.byYear.length === 0) return every;
  return `${every}; other years: ${some(budgets.byYear.map(({ year, atMost }) => `${year} ${limit(atMost)}`))}`;
}

const districtLines = ({ budgets }: ScenarioInputs, say: AskedUnits): AskedLine[] =>
  budgets.districts.map(({ district, year, atLeast, atMost }) => {
    const bounds = [
      atLeast === null ? [] : `at least ${say.money(atLeast)}`,
      atMost === null ? [] : `at most ${say.money(atMost)}`,
    ];
    return { what: `Money of ${district}`, value: `${year ?? 'Every year'}: ${bounds.flat().join(', ')}` };
  });

const targetLines = ({ targets }: ScenarioInputs): AskedLine[] =>
  targets.map(({ scope, name, fromYear, atMostShare }) => ({
    what: `Target for ${scope === 'network' ? 'the network' : name}`,
    value: `At most ${percentWords(atMostShare, 2)} of sealed length failed at the end of ${fromYear === null ? 'every year' : `each year from ${fromYear}`}`,
  }));

/** Each class that may be used somewhere: at what price, and whether where fuel is spilled. */
function classLines({ inputs, prices }: ScenarioAsked, say: AskedUnits): AskedLine[] {
  const choice = classChoice(inputs, prices);
  return SEALANT_CLASSES.flatMap((sealantClass) => {
    const allowed = (jointType: JointType, fuelExposure: boolean) =>
      choice.allows(sealantClass, { jointType, fuelExposure });
    const types = JOINT_TYPES.filter((type) => allowed(type, false) || allowed(type, true));
    if (types.length === 0) return [];
    const fuel = types.some((type) => allowed(type, true)) ? 'also where fuel is spilled' : 'not where fuel is spilled';
    return [
      {
        what: `Reseal with ${plainWords(sealantClass)}`,
        value: `${priceWords(types, sealantClass, choice, say)}; ${fuel}`,
      },
    ];
  });
}

/** Prices by joint type, joint types of one price together. */
function priceWords(
  types: readonly JointType[],
  sealantClass: SealantClass,
  { costPerM }: ClassChoice,
  say: AskedUnits,
): string {
  const byPrice = new Map<number, string[]>();
  for (const type of types) {
    const price = costPerM(sealantClass, type);
    byPrice.set(price, [...(byPrice.get(price) ?? []), plainWords(type)]);
  }
  // Where every joint type has a price, that of the most goes without their names.
  const [[common], ...rest] = [...byPrice].sort(([, a], [, b]) => b.length - a.length);
  const named = types.length === JOINT_TYPES.length ? rest : [...byPrice];
  const words = named.map(([price, names]) => `${say.perLength(price)} for ${names.join(', ')}`);
  return [...(named === rest ? [say.perLength(common)] : []), ...words].join('; ');
}

function kindLines(kind: FacilityKind, { inputs, settings }: ScenarioAsked, say: AskedUnits): AskedLine[] {
  const trip = ofKind(inputs.mobilisation, kind);
  const cost = trip
    ? `${say.money(trip.mobilisationCost)} mobilisation and ${say.money(trip.trafficControlCost)} traffic control for each facility and year with work`
    : 'no mobilisation';
  const open = say.perLength(openCostPerMYear(inputs, settings, kind));
  return [
    {
      what: `Each ${kind}`,
      value: `${cost}; a failed joint left open costs ${open} and year, times its consequence weight`,
    },
  ];
}

function wishLines(inputs: ScenarioInputs, say: AskedUnits): AskedLine[] {
  const { crewCapacityMPerYear, minimumJobM, committed, heldBack, chosen } = inputs;
  const settled = (list: readonly { segmentId: string; year: number | null }[]) =>
    some(list.map(({ segmentId, year }) => `${segmentId} ${year === null ? 'not at all' : `in ${year}`}`));
  const held = heldBack.map(
    ({ segmentId, facilityId, pavementYear, yearsBefore }) =>
      `${segmentId ?? facilityId} (new pavement in ${pavementYear}, nothing from ${pavementYear - yearsBefore})`,
  );
  return [
    ...(crewCapacityMPerYear === null
      ? []
      : [{ what: 'Crew capacity a year', value: say.length(crewCapacityMPerYear) }]),
    ...(minimumJobM > 0 ? [{ what: 'Least job at a facility', value: say.length(minimumJobM) }] : []),
    ...(committed.length > 0 ? [{ what: 'Committed', value: settled(committed) }] : []),
    ...(heldBack.length > 0 ? [{ what: 'Held back', value: some(held) }] : []),
    ...(chosen.length > 0 ? [{ what: 'Placed by hand', value: settled(chosen) }] : []),
  ];
}
