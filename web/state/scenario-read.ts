import type { ScenarioInputs } from '../../server/schemas/scenario.ts';
import { KIND_ROWS, type KindOrAny, NO_LIMIT, numberKinds, type ScenarioDraft } from './scenario-draft.ts';
import { type NumberKind, readNumber } from './scenario-numbers.ts';

/** What is wrong, by the place of its field in the form: "budgets.everyYear", "districts.0.atMost", "kinds.any.openJoint". */
export type FieldProblems = Readonly<Record<string, string>>;

/** Reads fields one by one and collects what must be mended. */
class Reader {
  readonly problems: Record<string, string> = {};
  readonly kinds: ReturnType<typeof numberKinds>;
  constructor(draft: ScenarioDraft) {
    this.kinds = numberKinds(draft.units);
  }
  refuse(place: string, message: string): void {
    this.problems[place] ??= message;
  }
  number(place: string, text: string, kind: NumberKind, stored?: number | null): number {
    const read = readNumber(text, kind, stored);
    if (read.problem === null) return read.value;
    this.refuse(place, read.problem);
    return stored ?? 0;
  }
  /** An empty field means null. */
  numberOrNull(place: string, text: string, kind: NumberKind, stored?: number | null): number | null {
    return text.trim() === '' ? null : this.number(place, text, kind, stored);
  }
}

/**
 * The inputs that a draft stands for, or what must be mended first.
 * @param stored the inputs that the draft was made from; fields that were not touched keep their digits
 */
export function readScenario(
  draft: ScenarioDraft,
  stored: ScenarioInputs,
): { inputs: ScenarioInputs; problems: FieldProblems } {
  const read = new Reader(draft);
  const { kinds } = read;
  const crewCapacityMPerYear = read.numberOrNull(
    'crewCapacityMPerYear',
    draft.crewCapacity,
    kinds.crewCapacity,
    stored.crewCapacityMPerYear,
  );
  if (crewCapacityMPerYear === 0)
    read.refuse('crewCapacityMPerYear', 'Give a length above 0, or leave it empty for no cap.');
  const inputs: ScenarioInputs = {
    horizonYears: read.number('horizonYears', draft.horizonYears, kinds.horizonYears),
    question: draft.question,
    budgets: readBudgets(draft, stored, read),
    targets: readTargets(draft, stored, read),
    allowedClasses: readClasses(draft, read),
    prices: readPrices(draft, read),
    priceUncertainty: read.number(
      'priceUncertainty',
      draft.priceUncertainty,
      kinds.priceUncertainty,
      stored.priceUncertainty,
    ),
    ...readKinds(draft, stored, read),
    escalationPerYear: read.numberOrNull(
      'escalationPerYear',
      draft.escalation,
      kinds.escalation,
      stored.escalationPerYear,
    ),
    discountRatePerYear: read.numberOrNull(
      'discountRatePerYear',
      draft.discount,
      kinds.discount,
      stored.discountRatePerYear,
    ),
    committed: draft.committed,
    heldBack: draft.heldBack,
    crewCapacityMPerYear,
    minimumJobM: read.number('minimumJobM', draft.minimumJob, kinds.minimumJob, stored.minimumJobM),
    fixedCycleYears: read.number('fixedCycleYears', draft.fixedCycleYears, kinds.fixedCycleYears),
    chosen: draft.chosen,
  };
  if (inputs.question === 'least-budget' && inputs.targets.length === 0)
    read.refuse('targets', 'The least budget is that which keeps a target: add one.');
  return { inputs, problems: read.problems };
}

function readBudgets(draft: ScenarioDraft, stored: ScenarioInputs, read: Reader): ScenarioInputs['budgets'] {
  const { money, year: yearKind } = read.kinds;
  const byYear = Object.entries(draft.byYear)
    .filter(([, text]) => text.trim() !== '')
    .map(([year, text]) => {
      const before = stored.budgets.byYear.find((row) => row.year === Number(year))?.atMost;
      const unlimited = text.trim().toLowerCase() === NO_LIMIT;
      return {
        year: Number(year),
        atMost: unlimited ? null : read.number(`budgets.byYear.${year}`, text, money, before),
      };
    })
    .sort((a, b) => a.year - b.year);
  const districts = draft.districts.map((row, index) => {
    const place = `districts.${index}`;
    const before = stored.budgets.districts[index];
    const atLeast = read.numberOrNull(`${place}.atLeast`, row.atLeast, money, before?.atLeast);
    const atMost = read.numberOrNull(`${place}.atMost`, row.atMost, money, before?.atMost);
    if (row.district === '') read.refuse(`${place}.district`, 'Choose a district.');
    if (atLeast === null && atMost === null) read.refuse(`${place}.atMost`, 'Give a floor, a ceiling, or both.');
    if (atLeast !== null && atMost !== null && atLeast > atMost)
      read.refuse(`${place}.atLeast`, 'The floor is above the ceiling.');
    return { district: row.district, year: read.numberOrNull(`${place}.year`, row.year, yearKind), atLeast, atMost };
  });
  return {
    moneyOf: draft.moneyOf,
    everyYear: read.numberOrNull('budgets.everyYear', draft.everyYear, money, stored.budgets.everyYear),
    byYear,
    districts,
  };
}

const readTargets = (draft: ScenarioDraft, stored: ScenarioInputs, read: Reader): ScenarioInputs['targets'] =>
  draft.targets.map((row, index) => {
    const place = `targets.${index}`;
    if (row.scope !== 'network' && row.name === '')
      read.refuse(`${place}.name`, row.scope === 'district' ? 'Choose a district.' : 'Choose a kind of facility.');
    return {
      scope: row.scope,
      name: row.scope === 'network' ? null : row.name,
      fromYear: read.numberOrNull(`${place}.fromYear`, row.fromYear, read.kinds.year),
      atMostShare: read.number(
        `${place}.atMostShare`,
        row.atMost,
        read.kinds.target,
        stored.targets[index]?.atMostShare,
      ),
    };
  });

function readClasses(draft: ScenarioDraft, read: Reader): ScenarioInputs['allowedClasses'] {
  if (!draft.chooseClasses) return [];
  if (draft.classes.length === 0)
    read.refuse('allowedClasses', 'Tick at least one class, or let every class with a price be used.');
  return draft.classes.map(({ sealantClass, jointTypes, whereFuelIsSpilled }) => ({
    sealantClass,
    jointTypes: [...jointTypes],
    whereFuelIsSpilled,
  }));
}

function readPrices(draft: ScenarioDraft, read: Reader): ScenarioInputs['prices'] {
  const seen = new Set<string>();
  return draft.prices.map(({ sealantClass, jointType, cost, stored }, index) => {
    const pair = `${sealantClass} ${jointType}`;
    if (seen.has(pair)) read.refuse(`prices.${index}.jointType`, 'This class and joint type is already in the list.');
    seen.add(pair);
    return {
      sealantClass,
      jointType,
      costPerM: read.number(`prices.${index}.costPerM`, cost, read.kinds.price, stored),
    };
  });
}

/** A kind whose fields are all empty has no row of its own: it goes with "any". */
function readKinds(
  draft: ScenarioDraft,
  stored: ScenarioInputs,
  read: Reader,
): Pick<ScenarioInputs, 'mobilisation' | 'openJointCost'> {
  const { money, openJoint } = read.kinds;
  const mobilisation: ScenarioInputs['mobilisation'] = [];
  const openJointCost: ScenarioInputs['openJointCost'] = [];
  for (const facilityKind of KIND_ROWS) {
    const row = draft.kinds[facilityKind];
    const place = `kinds.${facilityKind}`;
    const before = stored.mobilisation.find((each) => each.facilityKind === facilityKind);
    if (row.mobilisation.trim() !== '' || row.trafficControl.trim() !== '') {
      const cost = (field: 'mobilisation' | 'trafficControl', was: number | undefined): number =>
        row[field].trim() === '' ? 0 : read.number(`${place}.${field}`, row[field], money, was);
      mobilisation.push({
        facilityKind,
        mobilisationCost: cost('mobilisation', before?.mobilisationCost),
        trafficControlCost: cost('trafficControl', before?.trafficControlCost),
      });
    }
    if (row.openJoint.trim() !== '') {
      const was = stored.openJointCost.find((each) => each.facilityKind === facilityKind)?.costPerMYear;
      openJointCost.push({
        facilityKind,
        costPerMYear: read.number(`${place}.openJoint`, row.openJoint, openJoint, was),
      });
    }
  }
  return { mobilisation, openJointCost };
}

/** Where the server's name of a field is in the form; null: it has no field of its own. */
export function placeOfServerField(field: string, inputs: ScenarioInputs): string | null {
  const parts = field
    .replace(/^body\./, '')
    .replace(/^inputs\./, '')
    .split('.');
  const [head, second, third, fourth] = parts;
  if (head === 'budgets' && second === 'districts')
    return third === undefined ? null : `districts.${third}.${fourth ?? 'atMost'}`;
  if (head === 'budgets' && second === 'byYear') {
    const year = inputs.budgets.byYear[Number(third)]?.year;
    return year === undefined ? 'budgets.everyYear' : `budgets.byYear.${year}`;
  }
  if (head === 'budgets') return `budgets.${second}`;
  const kindOf = (list: readonly { facilityKind: KindOrAny }[]) => list[Number(second)]?.facilityKind ?? 'any';
  if (head === 'mobilisation')
    return `kinds.${kindOf(inputs.mobilisation)}.${third === 'trafficControlCost' ? 'trafficControl' : 'mobilisation'}`;
  if (head === 'openJointCost') return `kinds.${kindOf(inputs.openJointCost)}.openJoint`;
  return head in inputs ? parts.join('.') : null;
}

/** The server's refusals beside their fields; those without a field are kept apart. */
export function placeServerProblems(
  errors: readonly { field: string; found: string; expected: string }[],
  inputs: ScenarioInputs,
): { problems: FieldProblems; others: string[] } {
  const problems: Record<string, string> = {};
  const others: string[] = [];
  for (const { field, found, expected } of errors) {
    const place = placeOfServerField(field, inputs);
    if (place === null) others.push(`${field} is ${found}; expected ${expected}.`);
    else problems[place] ??= `Is ${found}; expected ${expected}.`;
  }
  return { problems, others };
}
