import type { LineGeometry } from '../server/schemas/segment.ts';
import type { Aggregate, BaseType, Direction, JointType } from '../server/schemas/words.ts';
import type { District } from './agency.ts';
import type { TrueSegment } from './network.ts';
import { type Place, toPosition } from './place.ts';
import { openDraws } from './random.ts';

/** The slabs that a facility is built of. */
export interface Slabs {
  readonly lengthM: number;
  readonly thicknessMm: number;
  readonly base: BaseType;
  readonly aggregate: Aggregate;
}

export interface SegmentDraft {
  readonly id: string;
  readonly facilityId: string;
  readonly jointType: JointType;
  readonly beginM: number;
  readonly endM: number;
  readonly direction?: Direction;
  readonly firstLane?: number;
  readonly lastLane?: number;
  /** Distance between working joints across this joint, m. */ readonly slabLengthM: number;
  readonly jointCount: number;
  readonly sealedLengthM: number;
  readonly widthMm: readonly [number, number];
  readonly fuelExposure?: boolean;
  readonly consequenceWeight?: number;
  /** One line, or several for a group of transverse joints. */ readonly lines: readonly (readonly Place[])[];
}

const REASONS = [
  'overlay planned for 2028',
  'slab replacement planned',
  'no access: rail crossing',
  'ownership in question',
];

const roundTo = (value: number, digits: number) => Math.round(value * 10 ** digits) / 10 ** digits;

/** A draft with its lines on the globe, and what differs from joint to joint. */
export function finishSegment(seed: number, district: District, slabs: Slabs, draft: SegmentDraft): TrueSegment {
  const draws = openDraws(seed, 'segment', draft.id);
  const widthMm = draws.integer(draft.widthMm[0], draft.widthMm[1]);
  const lines = draft.lines.map((line) => line.map((place) => toPosition(district, place)));
  const geometry: LineGeometry =
    lines.length === 1
      ? { type: 'LineString', coordinates: lines[0] }
      : { type: 'MultiLineString', coordinates: lines };
  const special = draws.uniform();
  return {
    id: draft.id,
    facilityId: draft.facilityId,
    district: district.name,
    jointType: draft.jointType,
    direction: draft.direction ?? null,
    firstLane: draft.firstLane ?? null,
    lastLane: draft.lastLane ?? null,
    beginM: roundTo(draft.beginM, 1),
    endM: roundTo(draft.endM, 1),
    slabLengthM: draft.slabLengthM,
    slabThicknessMm: slabs.thicknessMm,
    baseType: slabs.base,
    coarseAggregate: slabs.aggregate,
    widthMm,
    widthAtC: draws.integer(8, 30),
    reservoirDepthMm: Math.round(widthMm * 1.3 + 22),
    jointCount: draft.jointCount,
    sealedLengthM: roundTo(draft.sealedLengthM, 1),
    fuelExposure: draft.fuelExposure ?? false,
    consequenceWeight: draft.consequenceWeight ?? 1,
    unsealedByPolicy: special < 0.008,
    leftAloneReason: special > 0.99 ? draws.pick(REASONS) : null,
    geometry,
  };
}
