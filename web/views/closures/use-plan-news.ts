import { useQueryClient } from '@tanstack/react-query';
import type { ClosurePlan } from '../../../server/schemas/closures.ts';
import { listWithNews, type News } from '../../state/list-news.ts';
import { plansQuery, scheduleQuery } from './closure-queries.ts';

/** Puts a plan that the server has answered with into the list, and asks again for the list and its schedule. */
export function usePlanNews(): (news: News<ClosurePlan>) => void {
  const client = useQueryClient();
  return (news) => {
    client.setQueryData(plansQuery.queryKey, (list: ClosurePlan[] | undefined) => listWithNews(list, news));
    void client.invalidateQueries({ queryKey: plansQuery.queryKey });
    if ('deletedId' in news) return;
    // Windows follow from the rules.
    for (const queryKey of [scheduleQuery(news.id).queryKey, ['closure-windows', news.id]])
      void client.invalidateQueries({ queryKey });
  };
}

/** Reads plans, and the schedule of one, again: somebody else has changed them. */
export function useReadAgain(): (planId: string) => Promise<void> {
  const client = useQueryClient();
  return async (planId) => {
    await Promise.all([
      client.invalidateQueries({ queryKey: plansQuery.queryKey }),
      client.invalidateQueries({ queryKey: scheduleQuery(planId).queryKey }),
    ]);
  };
}
