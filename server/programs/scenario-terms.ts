import type { PriceTerms } from '../../analytics/forecast/life-cycle.ts';
import type { ScenarioInputs } from '../schemas/scenario.ts';
import type { Settings } from '../schemas/settings.ts';
import type { FacilityKind } from '../schemas/words.ts';

/** The rates that a scenario reckons with: its own, else those of the settings. */
export interface ScenarioTerms extends PriceTerms {
  readonly discountRatePerYear: number;
  readonly priceLogSd: number;
}

export function scenarioTerms(
  inputs: ScenarioInputs,
  settings: Settings,
  { planningYear, priceYear }: { planningYear: number; priceYear: number | null },
): ScenarioTerms {
  return {
    planningYear,
    priceYear: priceYear ?? planningYear,
    escalationPerYear: inputs.escalationPerYear ?? settings.escalationPerYear,
    discountRatePerYear: inputs.discountRatePerYear ?? settings.discountRatePerYear,
    priceLogSd: inputs.priceUncertainty,
  };
}

/** The entry for a kind of facility, else the one for any. */
export const ofKind = <T extends { readonly facilityKind: FacilityKind | 'any' }>(
  list: readonly T[],
  kind: FacilityKind,
): T | undefined =>
  list.find(({ facilityKind }) => facilityKind === kind) ?? list.find(({ facilityKind }) => facilityKind === 'any');

/** Cost of one metre failed and open for a year at a facility of that kind, before the consequence weight. */
export const openCostPerMYear = (inputs: ScenarioInputs, settings: Settings, kind: FacilityKind): number =>
  ofKind(inputs.openJointCost, kind)?.costPerMYear ?? settings.openJointCostPerMYear;
