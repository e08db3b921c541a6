import type { Settings } from '../../server/schemas/settings.ts';
import { requestJson } from './request.ts';

/** The agency's settings: name, currency, rates, what counts as failed. */
export const fetchSettings = (signal?: AbortSignal) => requestJson<Settings>('/settings', { signal });

/** Replaces the settings whole. Throws ApiProblem when a value is out of range. */
export const saveSettings = (settings: Settings) =>
  requestJson<Settings>('/settings', { method: 'PUT', body: settings });
