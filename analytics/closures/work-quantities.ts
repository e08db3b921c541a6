import { sealantVolumeL } from '../joint/sealant-volume.ts';
import { sealantFamily } from './sealant-family.ts';
import {
  type RodType,
  refusedRod,
  rodSizeMm,
  surfaceFactor,
  usualBeadDepthMm,
  WASTAGE_FACTOR,
} from './sealant-rules.ts';

/** A length of joint of one shape that is sealed with one class. */
export interface JointTakeOff {
  readonly lengthM: number;
  readonly newClass: string;
  readonly widthMm: number;
  /** null: the usual depth for the class and width. */ readonly beadDepthMm: number | null;
  readonly withRod: boolean;
  readonly rodType: RodType;
}

export interface RodQuantity {
  /** Diameter as sold, mm; null: the joint is too wide for any, take bond-breaker tape. */
  readonly diameterMm: number | null;
  readonly metres: number;
}

export interface WorkQuantities {
  readonly lengthM: number;
  /** Poured sealant with waste, L, by class. */ readonly sealantL: ReadonlyMap<string, number>;
  /** Preformed seal, m, by class. */ readonly preformedM: ReadonlyMap<string, number>;
  /** Rod by diameter, smallest first. */ readonly rods: readonly RodQuantity[];
  /** What the standards forbid, one sentence for each. */ readonly faults: readonly string[];
}

/** Rod bought over rod used: offcuts at crossings. Common practice. */
export const ROD_WASTAGE_FACTOR = 1.05;

/**
 * Sealant, rod and preformed seal for some joints. @throws RangeError naming the field that is out of range
 * Sealant: width x depth x length with wastage and surface (FHWA-RD-99-146 section 3.10, from memory).
 */
export function workQuantities(joints: readonly JointTakeOff[], wastageFactor = WASTAGE_FACTOR): WorkQuantities {
  const sealantL = new Map<string, number>();
  const preformedM = new Map<string, number>();
  const rods = new Map<number | null, number>();
  const faults = new Set<string>();
  const add = <K>(map: Map<K, number>, key: K, amount: number) => map.set(key, (map.get(key) ?? 0) + amount);
  for (const joint of joints) {
    const { newClass, lengthM, widthMm } = joint;
    if (sealantFamily(newClass) === 'preformed') {
      add(preformedM, newClass, lengthM * ROD_WASTAGE_FACTOR);
      continue;
    }
    const depthMm = joint.beadDepthMm ?? usualBeadDepthMm(newClass, widthMm);
    const bead = { widthMm, depthMm, lengthM, wastageFactor, surfaceFactor: surfaceFactor(newClass) };
    add(sealantL, newClass, sealantVolumeL(bead));
    if (!joint.withRod) continue;
    const refused = refusedRod(newClass, joint.rodType);
    if (refused !== null) faults.add(refused);
    add(rods, rodSizeMm(widthMm), lengthM * ROD_WASTAGE_FACTOR);
  }
  return {
    lengthM: joints.reduce((sum, { lengthM }) => sum + lengthM, 0),
    sealantL,
    preformedM,
    rods: [...rods]
      .map(([diameterMm, metres]) => ({ diameterMm, metres }))
      .sort((a, b) => (a.diameterMm ?? Number.POSITIVE_INFINITY) - (b.diameterMm ?? Number.POSITIVE_INFINITY)),
    faults: [...faults],
  };
}
