import { daysBetween } from '../../analytics/survival/observation.ts';

/** A planning date as forecasts use it. */
export interface PlanningYear {
  readonly year: number;
  /** Share of that year still ahead, above 0, at most 1. */ readonly yearLeft: number;
  /** The date as a decimal year. */ readonly decimalYear: number;
}

/** @param planningDate ISO day */
export function planningYear(planningDate: string): PlanningYear {
  const year = Number(planningDate.slice(0, 4));
  const days = daysBetween(`${year}-01-01`, `${year + 1}-01-01`);
  const gone = daysBetween(`${year}-01-01`, planningDate);
  return { year, yearLeft: (days - gone) / days, decimalYear: year + gone / days };
}
