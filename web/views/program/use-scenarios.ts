import { useMutation, useQueryClient } from '@tanstack/react-query';
import type { Scenario } from '../../../server/schemas/scenario.ts';
import { listWithNews, type News } from '../../state/list-news.ts';
import { scenariosQuery } from './program-queries.ts';

/** Puts a scenario that the server has answered with into the list, and asks for the list again. */
export function useScenarioNews(): (news: News<Scenario>) => void {
  const client = useQueryClient();
  return (news) => {
    client.setQueryData(scenariosQuery.queryKey, (list: Scenario[] | undefined) => listWithNews(list, news));
    void client.invalidateQueries({ queryKey: scenariosQuery.queryKey });
  };
}

/** A change of one scenario; its answer is shown at once. */
export function useScenarioChange<Input>(change: (input: Input) => Promise<Scenario>) {
  const tell = useScenarioNews();
  const client = useQueryClient();
  return useMutation({
    mutationFn: change,
    onSuccess: tell,
    // A refusal may mean that another window was first: what is shown is read again.
    onError: () => void client.invalidateQueries({ queryKey: scenariosQuery.queryKey }),
  });
}
