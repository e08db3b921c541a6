import type { PlannedWork } from './program-comparison.ts';
import type { ProgramProblem } from './program-problem.ts';

/** Costs of one segment over its whole length, valued in year 0. */
export interface SegmentCost {
  /** Reseals, without mobilisation. */ readonly work: number;
  readonly open: number;
  /** What follows the horizon. */ readonly after: number;
}

export const totalOf = ({ work, open, after }: SegmentCost): number => work + open + after;

/** Chance that a segment has failed by the end of a year, given its works so far: the last one, or null. */
export function failedChance(problem: ProgramProblem, i: number, year: number, last: PlannedWork | null): number {
  if (last === null) return problem.failedByYearEnd[i * problem.years + year];
  const { curve, classes, failedByAge, oldestAge } = problem.types;
  const row = curve[problem.type[i] * classes + last.sealantClass];
  return failedByAge[row * (oldestAge + 1) + year - last.year];
}

/** Cost of a segment with some works, by year. The form to read of what a program adds up. */
export function segmentCost(problem: ProgramProblem, i: number, works: readonly PlannedWork[]): SegmentCost {
  const { years, types, type, lengthM, discountRatePerYear, goneFromYear } = problem;
  const price = (sealantClass: number) => types.pricePerM[type[i] * types.classes + sealantClass];
  const end = Math.min(years, goneFromYear[i]);
  let [work, open, next] = [0, 0, 0];
  let last: PlannedWork | null = null;
  let factor = lengthM[i];
  for (let year = 0; year < end; year++, factor /= 1 + discountRatePerYear) {
    if (next < works.length && works[next].year === year) {
      last = works[next++];
      work += factor * price(last.sealantClass);
    } else open += factor * types.openCostPerMYear[type[i]] * failedChance(problem, i, year, last);
  }
  return { work, open, after: end < years ? 0 : costAfterHorizon(problem, i, last) };
}

function costAfterHorizon(problem: ProgramProblem, i: number, last: PlannedWork | null): number {
  const { years, types, type, lengthM, discountRatePerYear, finalCostIfNeverPerM } = problem;
  if (last === null) return lengthM[i] * finalCostIfNeverPerM[i];
  const at = (type[i] * types.classes + last.sealantClass) * (years + 1) + years - 1 - last.year;
  return lengthM[i] * types.finalCostPerM[at] * (1 + discountRatePerYear) ** -(years - 1);
}
