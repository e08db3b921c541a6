import { queryOptions } from '@tanstack/react-query';
import { fetchLoads, fetchRecordCounts } from '../../api/loads.ts';
import { openLoad } from '../../state/file-choices.ts';

export const recordCountsQuery = queryOptions({
  queryKey: ['records'],
  queryFn: ({ signal }) => fetchRecordCounts(signal),
});

/** Events tell when a preview or a load has ended; asking now and then makes good an event that was lost. */
const WHILE_WORKING_MS = 2_000;
export const loadsQuery = queryOptions({
  queryKey: ['loads'],
  queryFn: ({ signal }) => fetchLoads(signal),
  refetchInterval: ({ state }) => {
    const open = openLoad(state.data ?? []);
    return open && open.state !== 'ready' ? WHILE_WORKING_MS : false;
  },
});
