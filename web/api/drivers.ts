import type { Drivers, WhatIf, WhatIfRequest } from '../../server/schemas/drivers.ts';
import { requestJson } from './request.ts';

const segmentPath = (segmentId: string): string => `/segments/${encodeURIComponent(segmentId)}`;

/** Why a segment's forecast is what it is. Throws ApiProblem where nothing is forecast for it. */
export const fetchDrivers = (segmentId: string, signal?: AbortSignal) =>
  requestJson<Drivers>(`${segmentPath(segmentId)}/drivers`, { signal });

/** What another seal would do here. Throws ApiProblem with a field error where the choice is not allowed. */
export const askWhatIf = (segmentId: string, request: WhatIfRequest) =>
  requestJson<WhatIf>(`${segmentPath(segmentId)}/what-if`, { method: 'POST', body: request });
