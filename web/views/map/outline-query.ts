import { queryOptions } from '@tanstack/react-query';
import { fetchOutline, namePoints } from '../../map/outline.ts';

/** The ground that every map is drawn on: read once. */
export const outlineQuery = queryOptions({
  queryKey: ['outline'],
  queryFn: async ({ signal }) => {
    const states = await fetchOutline(signal);
    return { states, names: namePoints(states) };
  },
  staleTime: Number.POSITIVE_INFINITY,
});
