import { queryOptions } from '@tanstack/react-query';
import { fetchBudget, fetchUnitCosts } from '../../api/budget.ts';

export const budgetQuery = queryOptions({ queryKey: ['budget'], queryFn: ({ signal }) => fetchBudget(signal) });
export const unitCostsQuery = queryOptions({
  queryKey: ['unit-costs'],
  queryFn: ({ signal }) => fetchUnitCosts(signal),
});
