import { queryOptions } from '@tanstack/react-query';
import { fetchComparison, fetchModelVersions } from '../../api/models.ts';

export const modelVersionsQuery = queryOptions({
  queryKey: ['models'],
  queryFn: ({ signal }) => fetchModelVersions(signal),
});
export const comparisonQuery = queryOptions({
  queryKey: ['comparisons'],
  queryFn: ({ signal }) => fetchComparison(signal),
});
