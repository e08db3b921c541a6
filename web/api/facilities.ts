import type { Facility, FacilityPlace } from '../../server/schemas/facility.ts';
import { requestJson } from './request.ts';

export const fetchFacilities = (signal?: AbortSignal) => requestJson<Facility[]>('/facilities', { signal });

/** The middle of each facility that has segments. */
export const fetchFacilityPlaces = (signal?: AbortSignal) =>
  requestJson<FacilityPlace[]>('/facilities/places', { signal });
