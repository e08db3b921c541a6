import { useQueryClient } from '@tanstack/react-query';
import type { ClosurePlan } from '../../../server/schemas/closures.ts';
import { plansQuery, scheduleQuery } from './closure-queries.ts';

/** Puts a plan that the server has answered with into the list, and asks again for the list and its schedule. */
export function usePlanNews(): (news: ClosurePlan | { readonly deletedId: string }) => void {
  const client = useQueryClient();
  return (news) => {
    client.setQueryData(plansQuery.queryKey, (list: ClosurePlan[] | undefined) => {
      if (!list) return list;
      if ('deletedId' in news) return list.filter(({ id }) => id !== news.deletedId);
      return list.some(({ id }) => id === news.id)
        ? list.map((plan) => (plan.id === news.id ? news : plan))
        : [...list, news];
    });
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
