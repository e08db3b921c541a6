import { infiniteQueryOptions, keepPreviousData, queryOptions } from '@tanstack/react-query';
import type { ProgramWork } from '../../../../server/schemas/program.ts';
import { fetchWorkPage } from '../../../api/scenarios.ts';
import { encodedWord, type WorkQuery } from '../../../state/work-query.ts';

const PAGE_ROWS = 200;
/** Whole lists are read in larger pieces. */
const WHOLE_PAGE_ROWS = 1000;

export const workPagesQuery = (scenarioId: string, query: WorkQuery) =>
  infiniteQueryOptions({
    queryKey: ['program', scenarioId, 'work', query],
    queryFn: ({ pageParam, signal }) =>
      fetchWorkPage(scenarioId, { query, limit: PAGE_ROWS, after: pageParam }, signal),
    initialPageParam: null as string | null,
    getNextPageParam: (page) => page.next,
    placeholderData: keepPreviousData,
  });

/** Every work that the query keeps, page after page. */
export async function fetchAllWork(scenarioId: string, query: WorkQuery): Promise<ProgramWork[]> {
  const works: ProgramWork[] = [];
  let after: string | null = null;
  do {
    const page = await fetchWorkPage(scenarioId, { query, limit: WHOLE_PAGE_ROWS, after });
    works.push(...page.items);
    after = page.next;
  } while (after !== null);
  return works;
}

/** All works of a facility over the horizon: what a closure group is cut from. */
export const facilityWorkQuery = (scenarioId: string, facilityId: string) =>
  queryOptions({
    queryKey: ['program', scenarioId, 'facility-work', facilityId],
    queryFn: () => fetchAllWork(scenarioId, { facility: encodedWord(facilityId), sort: 'year', descending: false }),
  });

/** The works of one segment, the first on top. */
export const fetchSegmentWork = (scenarioId: string, segmentId: string) =>
  fetchAllWork(scenarioId, { segmentIds: encodedWord(segmentId), sort: 'year', descending: false });
