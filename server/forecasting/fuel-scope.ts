import type { SealantClass } from '../schemas/words.ts';

/** Classes whose specifications exclude fuel-spill areas: hot-applied (ASTM D6690) and silicone (ASTM D5893). */
const EXCLUDED: ReadonlySet<SealantClass> = new Set<SealantClass>([
  'silicone-self-levelling',
  'silicone-non-sag',
  'hot-applied',
  'hot-applied-type-1',
  'hot-applied-type-2',
  'hot-applied-type-3',
  'hot-applied-type-4',
]);

/** Whether fuel spills rule a class out. */
export const isExcludedByFuel = (sealantClass: SealantClass): boolean => EXCLUDED.has(sealantClass);

export const FUEL_SCOPE = 'the scopes of ASTM D6690 (hot-applied) and ASTM D5893 (silicone) leave fuel-spill areas out';
