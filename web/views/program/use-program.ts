import { useQueries, useQuery } from '@tanstack/react-query';
import type { Program } from '../../../server/schemas/program.ts';
import type { Scenario } from '../../../server/schemas/scenario.ts';
import { programQuery } from './program-queries.ts';

type Made = Pick<Scenario, 'id' | 'program'>;
/** Where none has been made, none is asked for. */
const wanted = ({ id, program }: Made) => ({ ...programQuery(id), enabled: program !== null });

/** The program of a scenario; its data is null before the first. */
export function useProgram(scenario: Made) {
  const query = useQuery(wanted(scenario));
  return scenario.program === null ? { ...query, data: null } : query;
}

/** The programs of several scenarios, of those that have one. */
export function usePrograms(scenarios: readonly Made[]) {
  const queries = useQueries({ queries: scenarios.map(wanted) });
  const asked = queries.filter((_, index) => scenarios[index].program !== null);
  return {
    failed: asked.find(({ isError, data }) => isError && data === undefined),
    waiting: asked.some(({ data }) => data === undefined),
    programs: asked.flatMap(({ data }): Program[] => (data ? [data] : [])),
  };
}
