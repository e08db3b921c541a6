import type { Facility } from '../../server/schemas/facility.ts';
import { requestJson } from './request.ts';

export const fetchFacilities = (signal?: AbortSignal) => requestJson<Facility[]>('/facilities', { signal });
