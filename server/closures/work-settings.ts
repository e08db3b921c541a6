import { OPERATION_RATES, type OperationRates, type RateKey } from '../../analytics/closures/operation-rates.ts';
import { GATE_PROFILES } from '../../analytics/closures/weather-gates.ts';
import { USUAL_WORK, type WorkSettings } from '../../analytics/closures/work-blocks.ts';
import type { ClosureRules } from '../schemas/closure-rules.ts';

/** The rates of a plan: the defaults with those that its owner has changed. */
export function ratesOf({ rates }: Pick<ClosureRules, 'rates'>): OperationRates {
  const own = new Map(rates.map(({ operation, metresPerHour }) => [operation, metresPerHour]));
  const entries = Object.entries(OPERATION_RATES).map(([key, rate]) => {
    const metresPerHour = own.get(key);
    return [key, metresPerHour === undefined ? rate : { ...rate, metresPerHour }] as const;
  });
  return Object.fromEntries(entries) as Record<RateKey, OperationRates[RateKey]>;
}

/** How blocks of work are made; crews are planned slower by the allowance, and drawn at their own pace. @param longestShiftMinutes of any window */
export function workSettings(rules: ClosureRules, longestShiftMinutes: number): WorkSettings {
  const planned = 1 - (rules.paceAllowance ?? 0);
  const crews = rules.crews.map((crew) => ({ ...crew, paceFactor: crew.paceFactor * planned }));
  return {
    ...USUAL_WORK,
    ...{ rates: ratesOf(rules), crews, openJoints: rules.openJoints, dryingHours: rules.dryingHours },
    longestShiftMinutes,
    airC: coldestWorkC(rules),
    openingMinutes: Object.fromEntries(
      rules.openingMinutes.map(({ sealantClass, minutes }) => [sealantClass, minutes]),
    ),
  };
}

/** Time to opening is read at the coldest air that the limits let work go on in: the longest there can be. */
export function coldestWorkC({ gateProfile }: Pick<ClosureRules, 'gateProfile'>): number {
  const { leastAirC, leastPavementC } = GATE_PROFILES[gateProfile];
  return leastAirC ?? leastPavementC ?? USUAL_WORK.airC;
}
