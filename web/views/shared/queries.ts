import { keepPreviousData, queryOptions } from '@tanstack/react-query';
import type { Filter } from '../../../server/schemas/filter.ts';
import { fetchFacilities } from '../../api/facilities.ts';
import { fetchModel } from '../../api/model.ts';
import { fetchSegmentCard } from '../../api/segments.ts';
import { fetchSettings } from '../../api/settings.ts';
import { fetchBounds, fetchSummary, fetchVersion } from '../../api/summary.ts';

/** Reads that more than one screen needs. After a load or a forecast: `queryClient.invalidateQueries()`. */
export const settingsQuery = queryOptions({
  queryKey: ['settings'],
  queryFn: ({ signal }) => fetchSettings(signal),
});
export const versionQuery = queryOptions({
  queryKey: ['version'],
  queryFn: ({ signal }) => fetchVersion(signal),
  // Another reader may load files: the map and the totals then follow within half a minute.
  refetchInterval: 30_000,
});
export const facilitiesQuery = queryOptions({
  queryKey: ['facilities'],
  queryFn: ({ signal }) => fetchFacilities(signal),
});
export const boundsQuery = queryOptions({
  queryKey: ['bounds'],
  queryFn: ({ signal }) => fetchBounds(signal),
});
export const modelQuery = queryOptions({
  queryKey: ['model'],
  queryFn: ({ signal }) => fetchModel(signal),
});
export const summaryQuery = (filter: Filter) =>
  queryOptions({
    queryKey: ['summary', filter],
    queryFn: ({ signal }) => fetchSummary(filter, signal),
    placeholderData: keepPreviousData,
  });
export const segmentCardQuery = (segmentId: string) =>
  queryOptions({
    queryKey: ['segment', segmentId],
    queryFn: ({ signal }) => fetchSegmentCard(segmentId, signal),
  });
