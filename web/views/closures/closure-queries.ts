import { queryOptions } from '@tanstack/react-query';
import type { Closure } from '../../../server/schemas/closures.ts';
import { fetchClosureDefaults, fetchClosurePlans, fetchSchedule, fetchWindows } from '../../api/closures.ts';

export const plansQuery = queryOptions({
  queryKey: ['closure-plans'],
  queryFn: ({ signal }) => fetchClosurePlans(signal),
});
export const closureDefaultsQuery = (scenarioId: string, year: number) =>
  queryOptions({
    queryKey: ['closure-defaults', scenarioId, year],
    queryFn: ({ signal }) => fetchClosureDefaults({ scenarioId, year }, signal),
  });
export const scheduleQuery = (planId: string) =>
  queryOptions({
    queryKey: ['closure-schedule', planId],
    queryFn: ({ signal }) => fetchSchedule(planId, signal),
  });
export const windowsQuery = (planId: string, { facilityId, part }: Pick<Closure, 'facilityId' | 'part'>) =>
  queryOptions({
    queryKey: ['closure-windows', planId, facilityId, part?.direction ?? null],
    queryFn: ({ signal }) => fetchWindows({ planId, facility: facilityId, direction: part?.direction ?? null }, signal),
  });
