import type { BarredYears, ProgramInput, RequiredWork } from '../../analytics/program/program-input.ts';
import type { PriceList } from '../forecasting/price-list.ts';
import type { ScenarioInputs } from '../schemas/scenario.ts';
import type { Settings } from '../schemas/settings.ts';
import { FACILITY_KINDS, type FacilityKind, SEALANT_CLASSES, type SealantClass } from '../schemas/words.ts';
import { classChoice } from './class-choice.ts';
import { livesOf, noLives } from './class-lives.ts';
import { heldBackSegments } from './held-back.ts';
import type { PlanningGround } from './planning-ground.ts';
import { type NamedLimit, type NamedTarget, scenarioLimits, scenarioTargets } from './scenario-limits.ts';
import { ofKind, openCostPerMYear, type ScenarioTerms } from './scenario-terms.ts';

/** A scenario on its ground as plain numbers, with the names behind the numbers. */
export interface ScenarioProgramInput extends ProgramInput {
  readonly limits: readonly NamedLimit[];
  readonly targets: readonly NamedTarget[];
  readonly names: ProgramNames;
  /** Segments that no allowed class has a price for. */ readonly unpriced: number;
}

/** What the numbers of a problem stand for. Classes are those of `SEALANT_CLASSES`, in their order. */
export interface ProgramNames {
  readonly districts: readonly string[];
  readonly facilityKinds: readonly FacilityKind[];
}

export interface ScenarioAsked {
  readonly inputs: ScenarioInputs;
  readonly settings: Settings;
  readonly prices: PriceList;
  readonly terms: ScenarioTerms;
}

/** @throws RangeError where a wish cannot be met on this ground; scenarios are checked before */
export function scenarioProgramInput(ground: PlanningGround, asked: ScenarioAsked): ScenarioProgramInput {
  const { inputs, terms } = asked;
  const { segments, facilities } = ground;
  const names = namesOf(ground);
  const facilityAt = new Map(facilities.map(({ id }, at) => [id, at]));
  const facility = Int32Array.from(segments, ({ facilityId }) => facilityAt.get(facilityId) ?? 0);
  const kindOf = (i: number) => facilities[facility[i]].kind;
  const held = heldBackSegments(inputs.heldBack, segments, ground.firstYear);
  const pricePerM = pricesOf(ground, asked);
  const classes = SEALANT_CLASSES.length;
  return {
    count: segments.length,
    years: inputs.horizonYears,
    lengthM: Float64Array.from(segments, ({ sealedLengthM }) => sealedLengthM),
    facility,
    district: Int32Array.from(segments, ({ district }) => names.districts.indexOf(district)),
    facilityKind: Int32Array.from(segments, (_, i) => names.facilityKinds.indexOf(kindOf(i))),
    facilities: {
      count: facilities.length,
      mobilisationCost: Float64Array.from(facilities, ({ kind }) => mobilisationOf(inputs, kind)),
      district: Int32Array.from(facilities, ({ district }) => names.districts.indexOf(district)),
    },
    inPlace: {
      failedByYearEnd: ground.failedByYearEnd,
      yearEnds: ground.yearEnds,
      ageYears: ground.ageYears,
      lives: livesOf(ground.classModel, segments, null),
    },
    newLives: SEALANT_CLASSES.map((sealantClass, c) =>
      isUsed(pricePerM, classes, c)
        ? livesOf(ground.classModel, segments, sealantClass)
        : noLives(ground.classModel, segments.length),
    ),
    pricePerM,
    openCostPerMYear: Float64Array.from(
      segments,
      ({ consequenceWeight }, i) => openCostPerMYear(inputs, asked.settings, kindOf(i)) * consequenceWeight,
    ),
    ...held,
    ...wishesOf(ground, inputs),
    limits: scenarioLimits(inputs, names.districts, terms),
    targets: scenarioTargets(inputs, names, terms),
    minimumJobM: inputs.minimumJobM,
    discountRatePerYear: terms.discountRatePerYear,
    objective: inputs.question === 'least-cost' ? 'least-cost' : 'least-spending',
    names,
    unpriced: unpricedOf(pricePerM, classes),
  };
}

/** The same without the choices made by hand. */
export const withoutChoices = (
  input: ScenarioProgramInput,
  ground: PlanningGround,
  inputs: ScenarioInputs,
): ScenarioProgramInput => ({ ...input, ...wishesOf(ground, { ...inputs, chosen: [] }) });

/** Districts also of facilities, whose mobilisation they pay; kinds of what is planned for. */
function namesOf({ segments, facilities }: PlanningGround): ProgramNames {
  const used = new Set(segments.map(({ facilityId }) => facilityId));
  const kinds = new Set(facilities.filter(({ id }) => used.has(id)).map(({ kind }) => kind));
  const districts = new Set(segments.map(({ district }) => district));
  for (const { id, district } of facilities) if (used.has(id)) districts.add(district);
  return { districts: [...districts].sort(), facilityKinds: FACILITY_KINDS.filter((kind) => kinds.has(kind)) };
}

function mobilisationOf(inputs: ScenarioInputs, kind: FacilityKind): number {
  const found = ofKind(inputs.mobilisation, kind);
  return found ? found.mobilisationCost + found.trafficControlCost : 0;
}

/** Row-major, segments x classes; NaN where a class may not be used or has no price. */
function pricesOf({ segments }: PlanningGround, { inputs, prices }: ScenarioAsked): Float64Array {
  const choice = classChoice(inputs, prices);
  const known = new Map<string, number[]>();
  const classes = SEALANT_CLASSES.length;
  const out = new Float64Array(segments.length * classes);
  for (const [i, { jointType, inPlace }] of segments.entries()) {
    const fuelExposure = inPlace.covariates.fuelExposure === true;
    const key = `${jointType}/${fuelExposure}`;
    const row =
      known.get(key) ??
      SEALANT_CLASSES.map((each) =>
        choice.allows(each, { jointType, fuelExposure }) ? choice.costPerM(each, jointType) : Number.NaN,
      );
    known.set(key, row);
    out.set(row, i * classes);
  }
  return out;
}

const isUsed = (pricePerM: Float64Array, classes: number, c: number): boolean => {
  for (let at = c; at < pricePerM.length; at += classes) if (!Number.isNaN(pricePerM[at])) return true;
  return false;
};

function unpricedOf(pricePerM: Float64Array, classes: number): number {
  let unpriced = 0;
  for (let at = 0; at < pricePerM.length; at += classes)
    if (pricePerM.subarray(at, at + classes).every(Number.isNaN)) unpriced++;
  return unpriced;
}

/** Commitments and choices by hand as work that is settled and years that are not for work. */
function wishesOf(
  { segments, firstYear }: PlanningGround,
  { committed, chosen, horizonYears }: ScenarioInputs,
): { required: RequiredWork[]; barred: BarredYears[] } {
  const numberOf = new Map(segments.map(({ id }, i) => [id, i]));
  const required = new Map<string, RequiredWork>();
  const barred: BarredYears[] = [];
  const settle = (segment: number, year: number, sealantClass: SealantClass | null) =>
    required.set(`${segment} ${year}`, { segment, year, sealantClass: classNumber(sealantClass) });
  for (const { segmentId, year, sealantClass } of committed) {
    const segment = numberOf.get(segmentId);
    if (segment !== undefined) settle(segment, year - firstYear, sealantClass);
  }
  for (const { segmentId, year, sealantClass } of chosen) {
    const segment = numberOf.get(segmentId);
    if (segment === undefined) continue;
    const first = year === null ? horizonYears : year - firstYear;
    if (first > 0) barred.push({ segment, fromYear: 0, toYear: first - 1 });
    if (year !== null) settle(segment, first, sealantClass);
  }
  return { required: withOneClass([...required.values()]), barred };
}

/** A class named for one work of a segment holds for its other settled works. */
function withOneClass(required: readonly RequiredWork[]): RequiredWork[] {
  const classOf = new Map(
    required.flatMap((work) => (work.sealantClass < 0 ? [] : [[work.segment, work.sealantClass]])),
  );
  return required.map((work) => ({ ...work, sealantClass: classOf.get(work.segment) ?? -1 }));
}

const classNumber = (sealantClass: SealantClass | null): number =>
  sealantClass === null ? -1 : SEALANT_CLASSES.indexOf(sealantClass);
