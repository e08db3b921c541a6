import { nominalFactor } from '../../analytics/forecast/life-cycle.ts';
import type { FailedShareTarget, ProgramLimit } from '../../analytics/program/program-problem.ts';
import type { ScenarioInputs } from '../schemas/scenario.ts';
import { budgetIn, districtLimitsIn } from './check-limits.ts';
import type { ScenarioTerms } from './scenario-terms.ts';

/** A limit or target with the words that name it. */
export interface NamedLimit extends ProgramLimit {
  readonly name: string;
}
export interface NamedTarget extends FailedShareTarget {
  readonly name: string;
}

/** The search counts a bound as kept within a millionth of it; money is asked for by that much more strictly. */
const KEPT_WITHIN = 1e-6;

/**
 * Budgets, floors, ceilings and crew capacity as limits of single years, in constant money.
 * @param districts names in the order of their numbers
 */
export function scenarioLimits(
  inputs: Pick<ScenarioInputs, 'horizonYears' | 'budgets' | 'crewCapacityMPerYear'>,
  districts: readonly string[],
  terms: ScenarioTerms,
): NamedLimit[] {
  const { budgets, crewCapacityMPerYear, horizonYears } = inputs;
  const limits: NamedLimit[] = [];
  for (let year = 0; year < horizonYears; year++) {
    const calendar = terms.planningYear + year;
    const factor = budgets.moneyOf === 'each-year' ? nominalFactor(terms, year) : 1;
    const ceiling = (money: number | null) => (money === null ? null : (money * (1 - KEPT_WITHIN)) / factor);
    const floor = (money: number | null) => (money === null ? null : (money * (1 + KEPT_WITHIN)) / factor);
    const atMost = budgetIn(budgets, calendar);
    if (atMost !== null)
      limits.push({
        ...{ of: 'money', year, district: null, atMost: ceiling(atMost), atLeast: null },
        name: `the budget of ${calendar}`,
      });
    for (const limit of districtLimitsIn(budgets.districts, calendar))
      limits.push({
        ...{ of: 'money', year, district: districts.indexOf(limit.district) },
        ...{ atMost: ceiling(limit.atMost), atLeast: floor(limit.atLeast) },
        name: `the money of ${limit.district} in ${calendar}`,
      });
    if (crewCapacityMPerYear !== null)
      limits.push({
        ...{ of: 'length', year, district: null, atMost: crewCapacityMPerYear, atLeast: null },
        name: `the crew capacity of ${calendar}`,
      });
  }
  return limits;
}

/** Targets as bounds on single years. */
export function scenarioTargets(
  { targets, horizonYears }: Pick<ScenarioInputs, 'targets' | 'horizonYears'>,
  { districts, facilityKinds }: { districts: readonly string[]; facilityKinds: readonly string[] },
  { planningYear }: ScenarioTerms,
): NamedTarget[] {
  return targets.flatMap(({ scope, name, fromYear, atMostShare }) => {
    const first = fromYear === null ? 0 : fromYear - planningYear;
    const index = scope === 'network' ? 0 : (scope === 'district' ? districts : facilityKinds).indexOf(name ?? '');
    const where = scope === 'network' ? 'the network' : `${name}`;
    return Array.from({ length: horizonYears - first }, (_, k) => ({
      ...{ scope, index, year: first + k, atMostShare },
      name: `the failed share of ${where} at the end of ${planningYear + first + k}`,
    }));
  });
}
