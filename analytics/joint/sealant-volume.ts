import { requirePositive } from './check-numbers.ts';

export interface SealantBead {
  readonly widthMm: number;
  readonly depthMm: number;
  readonly lengthM: number;
  /** Wastage: 1.2 for 20 %, 1 or more. */ readonly wastageFactor: number;
  /** 1.1 for a tooled surface, 1.0 otherwise. */ readonly surfaceFactor: number;
}

/**
 * Sealant to order, litres: width x depth x length with wastage and surface.
 * Source: FHWA-RD-99-146, section 3.10, from memory; the units are exact (1 mm x 1 mm x 1 m is 0.001 L).
 */
export function sealantVolumeL({ widthMm, depthMm, lengthM, wastageFactor, surfaceFactor }: SealantBead): number {
  requirePositive({ widthMm, depthMm, lengthM, wastageFactor, surfaceFactor });
  if (wastageFactor < 1) throw new RangeError(`wastageFactor is ${wastageFactor}; expected 1 or more`);
  return 0.001 * wastageFactor * surfaceFactor * widthMm * depthMm * lengthM;
}
