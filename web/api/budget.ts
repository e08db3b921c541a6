import type { Budget } from '../../server/schemas/budget.ts';
import type { Job } from '../../server/schemas/job.ts';
import type { UnitCost } from '../../server/schemas/unit-cost.ts';
import { nullWhenMissing } from './missing.ts';
import { apiUrl, requestJson } from './request.ts';

/** What falls due each year and its cost; null before the first forecast. */
export const fetchBudget = (signal?: AbortSignal): Promise<Budget | null> =>
  nullWhenMissing(requestJson<Budget>('/budget', { signal }));

/** Prices the same forecast again after a change of unit costs or rates, as a job. */
export const recomputeBudget = () => requestJson<Job>('/budget/recompute', { method: 'POST' });

export const fetchUnitCosts = (signal?: AbortSignal) => requestJson<UnitCost[]>('/unit-costs', { signal });

/** Replaces the whole list of unit costs. */
export const saveUnitCosts = (costs: readonly UnitCost[]) =>
  requestJson<UnitCost[]>('/unit-costs', { method: 'PUT', body: costs });

export const budgetCsvUrl = (units: 'si' | 'us'): string => apiUrl('/export/budget.csv', { units });
