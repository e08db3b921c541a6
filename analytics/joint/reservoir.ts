import { requireNotNegative, requirePositive } from './check-numbers.ts';

/** Movement that a joint must have room for, times this, is its least width. Common practice. */
export const MOVEMENT_SAFETY_FACTOR = 2;
/** Backer rod over joint width. Common practice; also usual with rods after ASTM D5249. */
export const ROD_OVERSIZE = 1.25;
/** Common practice: 1/8 in between rod and bottom of the slot; remedial work takes up to 1/2 in more. */
export const DEPTH_ALLOWANCE_MM = 3.175;
/** Common practice: 3/8 in below the surface for joints under 1 in wide. */
export const LEAST_RECESS_MM = 9.525;
const NARROW_JOINT_MM = 25.4;
/** Common practice: bead 1/4 to 1/2 in thick. */
export const BEAD_RANGE_MM = [6.35, 12.7] as const;

export interface ReservoirFilling {
  readonly recessMm: number;
  readonly beadDepthMm: number;
  readonly backerRodDiameterMm: number;
  readonly allowanceMm: number;
}

/** Depth that recess, bead, rod and allowance take together, mm. */
export function reservoirDepthMm({
  recessMm,
  beadDepthMm,
  backerRodDiameterMm,
  allowanceMm,
}: ReservoirFilling): number {
  requirePositive({ beadDepthMm });
  requireNotNegative({ recessMm, backerRodDiameterMm, allowanceMm });
  return recessMm + beadDepthMm + backerRodDiameterMm + allowanceMm;
}

/** Diameter of a rod that stays put in a joint: a quarter over its width, mm. */
export function backerRodDiameterMm(widthMm: number): number {
  requirePositive({ widthMm });
  return widthMm * ROD_OVERSIZE;
}

/** Least width of a joint for a movement, mm: movement x safety factor. */
export function leastWidthMm(movementMm: number, safetyFactor: number = MOVEMENT_SAFETY_FACTOR): number {
  requireNotNegative({ movementMm });
  requirePositive({ safetyFactor });
  return movementMm * safetyFactor;
}

/** Bead width over bead depth: 2 is common for silicone, 1 for hot-applied (from memory). */
export function widthToDepth(widthMm: number, beadDepthMm: number): number {
  requirePositive({ widthMm, beadDepthMm });
  return widthMm / beadDepthMm;
}

export interface ReservoirCheck extends ReservoirFilling {
  readonly widthMm: number;
  readonly reservoirDepthMm: number;
  /** Expected movement, mm. */ readonly movementMm: number;
}

/** What is wrong with a reservoir, one sentence for each fault; empty when nothing is. */
export function reservoirFaults(joint: ReservoirCheck): string[] {
  const faults: string[] = [];
  const mm = (value: number) => `${value.toFixed(1)} mm`;
  const needed = reservoirDepthMm(joint);
  if (joint.reservoirDepthMm < needed - 0.05)
    faults.push(`The slot is ${mm(joint.reservoirDepthMm)} deep; recess, bead, rod and allowance take ${mm(needed)}.`);
  const least = leastWidthMm(joint.movementMm);
  if (joint.widthMm < least) faults.push(`The joint is ${mm(joint.widthMm)} wide; twice its movement is ${mm(least)}.`);
  if (joint.widthMm < NARROW_JOINT_MM && joint.recessMm < LEAST_RECESS_MM - 0.05)
    faults.push(`The recess is ${mm(joint.recessMm)}; common practice is at least ${mm(LEAST_RECESS_MM)}.`);
  if (joint.beadDepthMm < BEAD_RANGE_MM[0] - 0.05 || joint.beadDepthMm > BEAD_RANGE_MM[1] + 0.05)
    faults.push(`The bead is ${mm(joint.beadDepthMm)}; common practice is ${BEAD_RANGE_MM.map(mm).join(' to ')}.`);
  if (joint.backerRodDiameterMm > 0 && joint.backerRodDiameterMm <= joint.widthMm)
    faults.push(
      `The rod is ${mm(joint.backerRodDiameterMm)}, no thicker than the joint is wide: it will not stay put.`,
    );
  return faults;
}
