import { queryOptions } from '@tanstack/react-query';
import { fetchProgram, fetchScenarioDefaults, fetchScenarios } from '../../api/scenarios.ts';

export const scenariosQuery = queryOptions({
  queryKey: ['scenarios'],
  queryFn: ({ signal }) => fetchScenarios(signal),
});
export const scenarioDefaultsQuery = queryOptions({
  queryKey: ['scenario-defaults'],
  queryFn: ({ signal }) => fetchScenarioDefaults(signal),
});
export const programQuery = (scenarioId: string) =>
  queryOptions({
    queryKey: ['program', scenarioId],
    queryFn: ({ signal }) => fetchProgram(scenarioId, signal),
  });
