import { requirePositive } from './check-numbers.ts';

export type BaseType = 'granular' | 'stabilised' | 'unknown';
export type Aggregate = 'quartz' | 'sandstone' | 'gravel' | 'granite' | 'basalt' | 'limestone' | 'unknown';

/**
 * Share of free movement that the base lets happen. An unknown base takes the granular value, the larger movement.
 * Source: AASHTO Guide (1993), from memory; 0.80 confirmed by the worked examples of the federal rigid pavement chapter.
 */
export const RESTRAINT: Readonly<Record<BaseType, number>> = { stabilised: 0.65, granular: 0.8, unknown: 0.8 };

/** 1/°F: values of AASHTO 1993 as printed by Concrete Construction ("Thermal coefficients of concretes"); generic 5.5. */
const EXPANSION_PER_F: Readonly<Record<Aggregate, number>> = {
  quartz: 6.6e-6,
  sandstone: 6.5e-6,
  gravel: 6.0e-6,
  granite: 5.3e-6,
  basalt: 4.8e-6,
  limestone: 3.8e-6,
  unknown: 5.5e-6,
};

/** Linear thermal expansion of concrete by its coarse aggregate, 1/°C. */
export const expansionPerC = (aggregate: Aggregate): number => EXPANSION_PER_F[aggregate] * 1.8;

/** Indirect tensile strength in psi against drying shrinkage. AASHTO Guide (1993), from memory. */
const SHRINKAGE: readonly (readonly [number, number])[] = [
  [300, 0.0008],
  [400, 0.0006],
  [500, 0.00045],
  [600, 0.0003],
  [700, 0.0002],
];
const PSI_PER_MPA = 145.0377;

/** Drying shrinkage, mm per mm, by indirect tensile strength, MPa: straight lines between printed points, flat beyond. */
export function shrinkageByStrength(tensileStrengthMPa: number): number {
  requirePositive({ tensileStrengthMPa });
  const psi = tensileStrengthMPa * PSI_PER_MPA;
  if (psi <= SHRINKAGE[0][0]) return SHRINKAGE[0][1];
  for (let i = 1; i < SHRINKAGE.length; i++) {
    const [[x0, y0], [x1, y1]] = [SHRINKAGE[i - 1], SHRINKAGE[i]];
    if (psi <= x1) return y0 + ((y1 - y0) * (psi - x0)) / (x1 - x0);
  }
  return SHRINKAGE[SHRINKAGE.length - 1][1];
}
