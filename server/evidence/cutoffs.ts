import type { YearOfLooks } from './evidence-network.ts';

/** Looks later than this after a cut-off are not judged: budgets rarely reach farther. */
export const TRIAL_HORIZON_YEARS = 6;
const MOST_CUTOFFS = 4;
const LEAST_YEARS_AFTER = 2;
/** As many looks and failures by a cut-off are enough for the records to speak beside the prior. */
const ENOUGH_LOOKS = 100;
const ENOUGH_FAILURES = 10;

export interface Cutoffs {
  /** ISO days, rising; empty where nothing can be tried. */ readonly days: readonly string[];
  /** How they were chosen, or why there are none. */ readonly note: string;
}

/**
 * The last four ends of years, two years apart (one where records are short), that leave at least two years of records
 * after them and enough inspections before them. Where there are never enough, a single look before has to do: the
 * prior forecasts then, and that can be judged too.
 */
export function chooseCutoffs(years: ReadonlyMap<number, YearOfLooks>, planningDate: string): Cutoffs {
  const known = [...years].filter(([, { looks }]) => looks > 0).map(([year]) => year);
  if (known.length === 0) return { days: [], note: 'No inspection is on record, so no past forecast can be tried.' };
  const latest = latestYear(planningDate);
  const earliest = firstYearWith(years, latest, ENOUGH_LOOKS, ENOUGH_FAILURES) ?? firstYearWith(years, latest, 1, 0);
  if (earliest === null || Math.max(...known) <= latest)
    return {
      days: [],
      note: `No past forecast can be tried: that needs inspections by the end of ${latest}, and later ones to judge by.`,
    };
  const step = latest - earliest >= 2 * (MOST_CUTOFFS - 1) ? 2 : 1;
  const count = Math.min(MOST_CUTOFFS, Math.floor((latest - earliest) / step) + 1);
  const days = Array.from({ length: count }, (_, k) => `${latest - step * (count - 1 - k)}-12-31`);
  return {
    days,
    note:
      `Forecasts were tried from ${days.join(', ')}: the last ends of years with at least ${LEAST_YEARS_AFTER} years of ` +
      `records after them and enough before. Looks up to ${TRIAL_HORIZON_YEARS} years later were judged.`,
  };
}

/** Last year whose end lies two whole years or more before the planning date. */
function latestYear(planningDate: string): number {
  const year = Number(planningDate.slice(0, 4));
  return planningDate.slice(5) >= '12-31' ? year - LEAST_YEARS_AFTER : year - LEAST_YEARS_AFTER - 1;
}

/** First year, no later than `latest`, by whose end so many looks and failures were on record; null: none. */
function firstYearWith(
  years: ReadonlyMap<number, YearOfLooks>,
  latest: number,
  leastLooks: number,
  leastFailures: number,
): number | null {
  let [looks, failures] = [0, 0];
  for (const [year, found] of [...years].sort(([a], [b]) => a - b)) {
    if (year > latest) return null;
    looks += found.looks;
    failures += found.failures;
    if (looks >= leastLooks && failures >= leastFailures) return year;
  }
  return null;
}
