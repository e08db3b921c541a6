import { queryOptions } from '@tanstack/react-query';
import { fetchEvidence } from '../../api/evidence.ts';

export const evidenceQuery = queryOptions({
  queryKey: ['evidence'],
  queryFn: ({ signal }) => fetchEvidence(signal),
});
