import { isExcludedByFuel } from '../forecasting/fuel-scope.ts';
import type { PriceList } from '../forecasting/price-list.ts';
import type { ScenarioInputs } from '../schemas/scenario.ts';
import type { JointType, SealantClass } from '../schemas/words.ts';

/** Which classes a scenario lets a joint be resealed with, and at what price. */
export interface ClassChoice {
  /** Constant money per metre; NaN where there is no price. */
  costPerM(sealantClass: SealantClass, jointType: JointType): number;
  allows(sealantClass: SealantClass, joint: { readonly jointType: JointType; readonly fuelExposure: boolean }): boolean;
}

/** Prices of the scenario win over the unit costs on record; a price for the joint type itself over one for any. */
export function classChoice(
  inputs: Pick<ScenarioInputs, 'prices' | 'allowedClasses'>,
  onRecord: PriceList,
): ClassChoice {
  const own = new Map(inputs.prices.map((price) => [`${price.sealantClass}/${price.jointType}`, price.costPerM]));
  const costPerM: ClassChoice['costPerM'] = (sealantClass, jointType) =>
    own.get(`${sealantClass}/${jointType}`) ??
    own.get(`${sealantClass}/any`) ??
    onRecord.costPerM(sealantClass, jointType);
  const listed = new Map(inputs.allowedClasses.map((allowed) => [allowed.sealantClass, allowed]));
  return {
    costPerM,
    allows(sealantClass, { jointType, fuelExposure }) {
      if (Number.isNaN(costPerM(sealantClass, jointType))) return false;
      if (fuelExposure && isExcludedByFuel(sealantClass)) return false;
      if (listed.size === 0) return sealantClass !== 'unknown';
      const allowed = listed.get(sealantClass);
      if (!allowed || (fuelExposure && !allowed.whereFuelIsSpilled)) return false;
      return allowed.jointTypes.length === 0 || allowed.jointTypes.includes(jointType);
    },
  };
}
