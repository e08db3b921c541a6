import { FUEL_SCOPE, isExcludedByFuel } from '../forecasting/fuel-scope.ts';
import type { ScenarioInputs } from '../schemas/scenario.ts';
import { repeated, type ScenarioFault, type ScenarioGround } from './scenario-fault.ts';

type AllowedClass = ScenarioInputs['allowedClasses'][number];

/** Faults of classes, prices and costs. */
export const checkClasses = (ground: ScenarioGround): ScenarioFault[] => [
  ...ground.inputs.allowedClasses.flatMap((allowed, i) => checkAllowed(`allowedClasses.${i}`, allowed, ground)),
  ...checkDoubles(ground.inputs),
  ...ground.inputs.prices.flatMap(({ costPerM }, i) =>
    costPerM > 0 ? [] : [{ field: `prices.${i}.costPerM`, found: String(costPerM), expected: 'more than 0' }],
  ),
];

function checkAllowed(field: string, allowed: AllowedClass, { jointTypes, costPerM }: ScenarioGround): ScenarioFault[] {
  const { sealantClass, whereFuelIsSpilled } = allowed;
  const faults: ScenarioFault[] = [];
  if (sealantClass === 'unknown')
    faults.push({ field: `${field}.sealantClass`, found: 'unknown', expected: 'a class that can be specified' });
  if (whereFuelIsSpilled && isExcludedByFuel(sealantClass))
    faults.push({
      field: `${field}.whereFuelIsSpilled`,
      found: 'true',
      expected: `false for this class: ${FUEL_SCOPE}`,
    });
  const unpriced = allowed.jointTypes.filter((jointType) => Number.isNaN(costPerM(sealantClass, jointType)));
  if (unpriced.length > 0)
    faults.push({
      field: `${field}.jointTypes`,
      found: unpriced.join(', '),
      expected: `joint types that ${sealantClass} has a unit cost for; add one under prices`,
    });
  const none = jointTypes.every((jointType) => Number.isNaN(costPerM(sealantClass, jointType)));
  if (allowed.jointTypes.length === 0 && none)
    faults.push({
      field: `${field}.sealantClass`,
      found: sealantClass,
      expected: 'a class with a unit cost; add one under prices',
    });
  return faults;
}

function checkDoubles({ allowedClasses, prices, mobilisation, openJointCost }: ScenarioInputs): ScenarioFault[] {
  return [
    ...repeated(allowedClasses, ({ sealantClass }) => sealantClass, {
      field: (i) => `allowedClasses.${i}.sealantClass`,
      expected: 'a class',
    }),
    ...repeated(prices, ({ sealantClass, jointType }) => `${sealantClass} / ${jointType}`, {
      field: (i) => `prices.${i}`,
      expected: 'a class and joint type',
    }),
    ...repeated(mobilisation, ({ facilityKind }) => facilityKind, {
      field: (i) => `mobilisation.${i}.facilityKind`,
      expected: 'a facility kind',
    }),
    ...repeated(openJointCost, ({ facilityKind }) => facilityKind, {
      field: (i) => `openJointCost.${i}.facilityKind`,
      expected: 'a facility kind',
    }),
  ];
}
