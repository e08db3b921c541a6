import type { ScenarioInputs } from '../../server/schemas/scenario.ts';
import type { FacilityKind, JointType, SealantClass } from '../../server/schemas/words.ts';
import { lengthIn, MONEY, percent, pricePer, whole } from './scenario-numbers.ts';
import type { Units } from './units.ts';
import { FACILITY_KIND_LABELS } from './words.ts';

export type KindOrAny = FacilityKind | 'any';
/** Rows of the table by facility kind: what holds for any kind, then the kinds that differ. */
export const KIND_ROWS: readonly KindOrAny[] = ['any', ...(Object.keys(FACILITY_KIND_LABELS) as FacilityKind[])];

/** Fields of one kind of facility; empty: as for any kind. */
export interface KindDraft {
  readonly mobilisation: string;
  readonly trafficControl: string;
  readonly openJoint: string;
}
export interface DistrictLimitDraft {
  readonly district: string;
  /** '' for every year. */ readonly year: string;
  readonly atLeast: string;
  readonly atMost: string;
}
export interface TargetDraft {
  readonly scope: ScenarioInputs['targets'][number]['scope'];
  readonly name: string;
  /** '' for every year. */ readonly fromYear: string;
  readonly atMost: string;
}
export interface ClassDraft {
  readonly sealantClass: SealantClass;
  readonly jointTypes: readonly JointType[];
  readonly whereFuelIsSpilled: boolean;
}
export interface ScenarioPriceDraft {
  readonly sealantClass: SealantClass;
  readonly jointType: JointType | 'any';
  readonly cost: string;
  /** The stored price, until another is typed: keeps digits that the screen does not show. */
  readonly stored: number | null;
}

/** A scenario's inputs as typed. Money without a unit is in the agency's currency; lengths and prices are in `units`. */
export interface ScenarioDraft {
  readonly units: Units;
  readonly horizonYears: string;
  readonly question: ScenarioInputs['question'];
  readonly moneyOf: ScenarioInputs['budgets']['moneyOf'];
  /** '' for no limit. */ readonly everyYear: string;
  /** Years that differ, by year; `none` for no limit. */ readonly byYear: Readonly<Record<string, string>>;
  readonly districts: readonly DistrictLimitDraft[];
  readonly targets: readonly TargetDraft[];
  /** false: like with like, or any class with a price. */ readonly chooseClasses: boolean;
  readonly classes: readonly ClassDraft[];
  readonly prices: readonly ScenarioPriceDraft[];
  readonly priceUncertainty: string;
  readonly kinds: Readonly<Record<KindOrAny, KindDraft>>;
  /** '' for the agency's setting. */ readonly escalation: string;
  readonly discount: string;
  readonly committed: ScenarioInputs['committed'];
  readonly heldBack: ScenarioInputs['heldBack'];
  /** '' for no cap. */ readonly crewCapacity: string;
  readonly minimumJob: string;
  readonly fixedCycleYears: string;
  readonly chosen: ScenarioInputs['chosen'];
}

/** Typed in a year's field: no limit in that year. */
export const NO_LIMIT = 'none';
export const EMPTY_KIND: KindDraft = { mobilisation: '', trafficControl: '', openJoint: '' };

/** How each number of the form is typed; bounds are those of the schema. */
export const numberKinds = (units: Units) => ({
  horizonYears: whole(1, 40, 'years'),
  year: whole(1900, 2300, ''),
  money: MONEY,
  target: percent(0, 1),
  price: pricePer(units, 100_000),
  priceUncertainty: percent(0, 1),
  escalation: percent(-0.1, 0.3),
  discount: percent(0, 0.3),
  openJoint: pricePer(units, 10_000),
  crewCapacity: lengthIn(units, 1e9),
  minimumJob: lengthIn(units, 1e6),
  fixedCycleYears: whole(1, 60, 'years'),
});

const orEmpty = (value: number | null, show: (value: number) => string): string => (value === null ? '' : show(value));

export function draftScenario(inputs: ScenarioInputs, units: Units): ScenarioDraft {
  const kind = numberKinds(units);
  const money = (value: number | null) => orEmpty(value, MONEY.show);
  const { budgets } = inputs;
  return {
    units,
    horizonYears: kind.horizonYears.show(inputs.horizonYears),
    question: inputs.question,
    moneyOf: budgets.moneyOf,
    everyYear: money(budgets.everyYear),
    byYear: Object.fromEntries(
      budgets.byYear.map(({ year, atMost }) => [String(year), atMost === null ? NO_LIMIT : MONEY.show(atMost)]),
    ),
    districts: budgets.districts.map(({ district, year, atLeast, atMost }) => ({
      district,
      year: orEmpty(year, String),
      atLeast: money(atLeast),
      atMost: money(atMost),
    })),
    targets: inputs.targets.map(({ scope, name, fromYear, atMostShare }) => ({
      scope,
      name: name ?? '',
      fromYear: orEmpty(fromYear, String),
      atMost: kind.target.show(atMostShare),
    })),
    chooseClasses: inputs.allowedClasses.length > 0,
    classes: inputs.allowedClasses,
    prices: inputs.prices.map(({ sealantClass, jointType, costPerM }) => ({
      sealantClass,
      jointType,
      cost: kind.price.show(costPerM),
      stored: costPerM,
    })),
    priceUncertainty: kind.priceUncertainty.show(inputs.priceUncertainty),
    kinds: kindDrafts(inputs, units),
    escalation: orEmpty(inputs.escalationPerYear, kind.escalation.show),
    discount: orEmpty(inputs.discountRatePerYear, kind.discount.show),
    committed: inputs.committed,
    heldBack: inputs.heldBack,
    crewCapacity: orEmpty(inputs.crewCapacityMPerYear, kind.crewCapacity.show),
    minimumJob: kind.minimumJob.show(inputs.minimumJobM),
    fixedCycleYears: kind.fixedCycleYears.show(inputs.fixedCycleYears),
    chosen: inputs.chosen,
  };
}

function kindDrafts(inputs: ScenarioInputs, units: Units): ScenarioDraft['kinds'] {
  const { openJoint } = numberKinds(units);
  const rows = KIND_ROWS.map((facilityKind): [KindOrAny, KindDraft] => {
    const mobilised = inputs.mobilisation.find((row) => row.facilityKind === facilityKind);
    const open = inputs.openJointCost.find((row) => row.facilityKind === facilityKind);
    return [
      facilityKind,
      {
        mobilisation: mobilised ? MONEY.show(mobilised.mobilisationCost) : '',
        trafficControl: mobilised ? MONEY.show(mobilised.trafficControlCost) : '',
        openJoint: open ? openJoint.show(open.costPerMYear) : '',
      },
    ];
  });
  return Object.fromEntries(rows) as Record<KindOrAny, KindDraft>;
}
