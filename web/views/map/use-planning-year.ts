import { useQuery } from '@tanstack/react-query';
import { modelQuery } from '../shared/queries.ts';

/** The year that forecasts start in; before the first forecast, this year. */
export function usePlanningYear(): number {
  const { data } = useQuery(modelQuery);
  return data ? Number(data.planningDate.slice(0, 4)) : new Date().getFullYear();
}
