import type { SegmentCard } from '../../server/schemas/card.ts';
import type { Filter, SortField } from '../../server/schemas/filter.ts';
import type { SegmentPage } from '../../server/schemas/forecast.ts';
import type { Units } from '../state/units.ts';
import { apiUrl, requestJson } from './request.ts';

export interface SegmentOrder {
  readonly sort: SortField;
  readonly descending: boolean;
}

export interface PageAsk {
  readonly filter: Filter;
  readonly order: SegmentOrder;
  readonly limit: number;
  readonly after: string | null;
}

export const fetchSegmentPage = ({ filter, order, limit, after }: PageAsk, signal?: AbortSignal) =>
  requestJson<SegmentPage>('/segments', {
    query: {
      ...filter,
      sort: order.sort,
      descending: order.descending,
      limit,
      after,
    },
    signal,
  });

export const fetchSegmentCard = (segmentId: string, signal?: AbortSignal) =>
  requestJson<SegmentCard>(`/segments/${encodeURIComponent(segmentId)}`, {
    signal,
  });

/** Address of a download of what the filter keeps. */
export const exportUrl = (format: 'csv' | 'geojson', filter: Filter, units: Units): string =>
  apiUrl(`/export/segments.${format}`, { ...filter, units });
