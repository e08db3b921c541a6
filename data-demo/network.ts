import type { Facility } from '../server/schemas/facility.ts';
import type { Segment } from '../server/schemas/segment.ts';
import { DISTRICTS, type District } from './agency.ts';
import { planAirport } from './airport.ts';
import { planHighways } from './highways.ts';
import type { FacilityTimeline } from './timeline.ts';

/** A segment as it truly is; the written record may lack its width. */
export type TrueSegment = Segment & { widthMm: number; slabLengthM: number };

/** A facility with its segments, made only when asked for, so that a large network never lies in memory. */
export interface FacilityPlan {
  readonly facility: Facility;
  readonly district: District;
  readonly timeline: FacilityTimeline;
  segments(): Iterable<TrueSegment>;
}

/** Share of the network that the airport may take; a small demo gets an airport that is cut short. */
const AIRPORT_SHARE = 0.2;

/** Exactly `segments` segments: the airport, then the highways and bridges of the districts in equal parts. */
export function* planNetwork(seed: number, segments: number): Generator<FacilityPlan> {
  let left = segments;
  for (const plan of planAirport(seed, Math.floor(segments * AIRPORT_SHARE))) {
    left -= plan.count;
    yield plan.plan;
  }
  for (let i = 0; i < DISTRICTS.length; i++) {
    const share = Math.ceil(left / (DISTRICTS.length - i));
    left -= share;
    yield* planHighways(seed, DISTRICTS[i], i, share);
  }
}
