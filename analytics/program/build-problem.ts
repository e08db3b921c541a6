import { inPlaceFailedBy, waitingCostPerM } from './after-horizon.ts';
import { checkProgramInput } from './check-program-input.ts';
import { type EconomicTypes, economicTypes } from './economic-types.ts';
import type { ProgramInput } from './program-input.ts';
import type { ProgramProblem } from './program-problem.ts';
import { workMask } from './work-mask.ts';

/**
 * The problem that a program solves, from a network and a scenario. Segments alike in price and life are merged into types.
 * @throws RangeError when arrays do not fit, a number is out of range or settled work cannot be done
 */
export function programProblem(input: ProgramInput): ProgramProblem {
  checkProgramInput(input);
  const { count, years, lengthM, facility, district, facilityKind, facilities } = input;
  const { limits, targets, minimumJobM, discountRatePerYear, objective } = input;
  const economic = economicTypes(input);
  const { type, types } = economic;
  const mask = workMask(input);
  return {
    ...{ count, years, lengthM, facility, district, facilityKind, facilities, type, types },
    ...{ limits, targets, minimumJobM, discountRatePerYear, objective },
    ...mask,
    failedByYearEnd: failedWithinHorizon(input),
    finalCostIfNeverPerM: finalCostIfNever(input, economic, mask.goneFromYear),
  };
}

/** Chances that never fall, whatever rounding left in them. */
function failedWithinHorizon({ count, years, inPlace: { failedByYearEnd, yearEnds } }: ProgramInput): Float64Array {
  const failed = new Float64Array(count * years);
  for (let i = 0; i < count; i++) {
    let most = 0;
    for (let t = 0; t < years; t++) {
      most = Math.min(1, Math.max(most, failedByYearEnd[i * yearEnds + t]));
      failed[i * years + t] = most;
    }
  }
  return failed;
}

function finalCostIfNever(input: ProgramInput, { type, after }: EconomicTypes, gone: Int32Array): Float64Array {
  const { count, years, inPlace, openCostPerMYear, discountRatePerYear: ratePerYear } = input;
  const toYear0 = (1 + ratePerYear) ** -(years - 1);
  return Float64Array.from({ length: count }, (_, i) => {
    if (gone[i] < years) return 0;
    const { renewalCostPerM, reference } = after[type[i]];
    const costs = { openCostPerMYear: openCostPerMYear[i], ratePerYear };
    const failedAt = (n: number) => inPlaceFailedBy(inPlace, i, years - 1 + n);
    return toYear0 * (waitingCostPerM(failedAt, renewalCostPerM, costs) - reference);
  });
}
