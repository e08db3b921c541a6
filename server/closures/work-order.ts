import { LEAST_CONCRETE_AGE_DAYS, refusedClass } from '../../analytics/closures/sealant-rules.ts';
import { OPERATION_KINDS, resealOperations } from '../../analytics/closures/work-operations.ts';
import type { ClosureDefaults } from '../schemas/closures.ts';

/** A class that stands for its family. */
const SEALS_IN_PLACE = [
  ['hot-applied', 'hot-applied-type-4'],
  ['cold-poured', 'polysulfide'],
  ['silicone', 'silicone-self-levelling'],
  ['preformed', 'preformed-compression'],
] as const;

/** Operations in order, as the seal that is there makes them, and what is never used where. */
export function workOrder(): Pick<ClosureDefaults, 'order' | 'fuelRefusals' | 'concreteAgeDays'> {
  const treatments = SEALS_IN_PLACE.map(([family, sealantClass]) => ({
    family,
    operations: resealOperations({
      ...{ oldClass: sealantClass, newClass: sealantClass, washAfterSawing: true, withRod: true },
    }),
  }));
  return {
    order: OPERATION_KINDS.map((operation) => ({
      operation,
      bySeal: treatments.map(({ family, operations }) => ({
        family,
        how: operations.find(({ kind }) => kind === operation)?.how ?? null,
      })),
    })),
    fuelRefusals: SEALS_IN_PLACE.flatMap(([, sealantClass]) => refusedClass(sealantClass, true) ?? []),
    concreteAgeDays: LEAST_CONCRETE_AGE_DAYS,
  };
}
