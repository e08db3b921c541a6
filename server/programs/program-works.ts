import { nominalFactor } from '../../analytics/forecast/life-cycle.ts';
import type { WorkReason } from '../../analytics/program/work-reason.ts';
import type { ProgramWork } from '../schemas/program.ts';
import type { ScenarioInputs } from '../schemas/scenario.ts';
import { SEALANT_CLASSES, type SealantClass } from '../schemas/words.ts';
import type { StoredWork } from '../store/scenario-store.ts';
import type { PlanningGround } from './planning-ground.ts';
import type { ScenarioProgramInput } from './scenario-program-input.ts';
import type { ScenarioTerms } from './scenario-terms.ts';

interface WorksAsked {
  readonly ground: PlanningGround;
  readonly input: ScenarioProgramInput;
  readonly inputs: ScenarioInputs;
  readonly terms: ScenarioTerms;
}

/** The works of a plan as they are kept, ordered by year, then facility and segment, as a program is read. */
export function programWorks(
  reasons: readonly WorkReason[],
  { ground, input, inputs, terms }: WorksAsked,
): StoredWork[] {
  const { segments, facilities } = ground;
  const settledBy = settledWork(inputs);
  const works: StoredWork[] = [];
  let before: WorkReason | null = null;
  for (const reason of reasons) {
    const { segment: i, year: y, sealantClass } = reason;
    const { id, facilityId, district, jointType, sealedLengthM, inPlace } = segments[i];
    const replaced = before?.segment === i ? SEALANT_CLASSES[before.sealantClass] : inPlace.covariates.sealantClass;
    const constantCost = sealedLengthM * input.pricePerM[i * SEALANT_CLASSES.length + sealantClass];
    const year = terms.planningYear + y;
    works.push({
      ...{ segmentId: id, facilityId, facilityName: facilities[input.facility[i]].name, district, jointType, year },
      sealantClass: SEALANT_CLASSES[sealantClass],
      sealantClassInPlace: replaced as SealantClass,
      lengthM: sealedLengthM,
      cost: constantCost * nominalFactor(terms, y),
      constantCost,
      failedChance: reason.failedChance,
      savedByNotWaiting: reason.savedAgainstWaiting,
      neighbours: reason.neighbours,
      why: settledBy.get(`${id} ${year}`) ?? whyOf(reason),
      because: reason.because,
      cheapestYear: reason.cheapestYear === null ? null : terms.planningYear + reason.cheapestYear,
      savedAgainstNever: reason.savedAgainstNever,
      mobilisationCost: reason.mobilisationCost,
    });
    before = reason;
  }
  return works.sort(
    (a, b) => a.year - b.year || compare(a.facilityId, b.facilityId) || compare(a.segmentId, b.segmentId),
  );
}

const compare = (a: string, b: string): number => (a < b ? -1 : Number(a > b));

function whyOf({ because }: WorkReason): ProgramWork['why'] {
  switch (because) {
    case 'worth-it':
      return 'due';
    case 'limits':
      return 'target';
    case 'committed':
      return 'committed';
    default:
      return 'neighbour';
  }
}

/** What settled a work, by segment and year; a choice by hand also where the work was committed. */
function settledWork({ committed, chosen }: ScenarioInputs): Map<string, ProgramWork['why']> {
  const settled = new Map<string, ProgramWork['why']>();
  for (const { segmentId, year } of committed) settled.set(`${segmentId} ${year}`, 'committed');
  for (const { segmentId, year } of chosen) if (year !== null) settled.set(`${segmentId} ${year}`, 'chosen');
  return settled;
}
