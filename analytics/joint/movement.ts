import { requireNotNegative, requirePositive } from './check-numbers.ts';

export interface SlabMovement {
  /** Distance between working joints, m, above 0. */ readonly slabLengthM: number;
  /** Share of free movement that the base lets happen, above 0. */ readonly restraint: number;
  /** Linear thermal expansion of the concrete, 1/°C, above 0. */ readonly expansionPerC: number;
  /** Hottest minus coldest slab temperature, °C, 0 or more. */ readonly rangeC: number;
  /** Drying shrinkage, mm per mm, 0 or more; 0 when resealing old slabs. */ readonly shrinkage: number;
}

/**
 * Seasonal opening of one joint. Measured openings were in most cases larger (Transportation Research Record 1684, 1999,
 * pp. 25-34), so this is a guide and never an upper bound.
 * @returns mm, 0 or more
 * @throws RangeError naming the field, what it was and what is allowed
 * Source: AASHTO Guide for Design of Pavement Structures (1993), dL = C L (alpha dT + Z); from memory.
 */
export function seasonalOpeningMm({ slabLengthM, restraint, expansionPerC, rangeC, shrinkage }: SlabMovement): number {
  requirePositive({ slabLengthM, restraint, expansionPerC });
  requireNotNegative({ rangeC, shrinkage });
  return restraint * slabLengthM * 1000 * (expansionPerC * rangeC + shrinkage);
}

/** The same for a reseal: the slabs have shrunk long ago, so only temperature moves the joint. */
export const resealOpeningMm = ({
  slabLengthM,
  restraint,
  expansionPerC,
  rangeC,
}: Omit<SlabMovement, 'shrinkage'>): number =>
  seasonalOpeningMm({ slabLengthM, restraint, expansionPerC, rangeC, shrinkage: 0 });

/** Longest slab, m, whose joints open no more than a limit: the same formula solved for the slab length. */
export function longestSlabM(openingLimitMm: number, slab: Omit<SlabMovement, 'slabLengthM'>): number {
  requirePositive({ openingLimitMm });
  return openingLimitMm / seasonalOpeningMm({ ...slab, slabLengthM: 1 });
}

/** Narrowest joint, mm, in which an opening strains the seal no more than `allowableStrain` (share of width, above 0). */
export function narrowestWidthMm(openingMm: number, allowableStrain: number): number {
  requireNotNegative({ openingMm });
  requirePositive({ allowableStrain });
  return openingMm / allowableStrain;
}
