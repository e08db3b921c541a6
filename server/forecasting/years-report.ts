import { LEAST_GAIN } from '../../analytics/pooling/pooled-levels.ts';
import type { YearEffect } from '../../analytics/pooling/year-effects.ts';
import {
  LEAST_YEAR_FAILURES,
  LEAST_YEARS,
  spreadQuantile,
  type YearSpread,
} from '../../analytics/pooling/year-spread.ts';
import type { Interval } from '../schemas/common.ts';
import type { CalendarYear, YearsReport } from '../schemas/years.ts';
import type { FittedYears } from './fit-years.ts';

/** 90th percentile of a normal variable. */
const Z_90 = 1.2816;

/** How much calendar years differ, from what, and what of it is in the intervals. */
export function yearsReport({ spread }: FittedYears): YearsReport {
  const { told, beyondChance, gain } = spread;
  const at = (share: number): number => Math.exp(spreadQuantile(spread, share));
  const factor = { median: at(0.5), lower: at(0.1), upper: at(0.9) };
  return {
    ...{ told, beyondChance, factor, gain, leastGain: LEAST_GAIN, failures: Math.round(spread.failures) },
    sentence: howMuch(spread, factor),
    inIntervals: IN_INTERVALS,
    years: spread.years.map(calendarYear),
  };
}

const calendarYear = ({ year, effect, standardError, expected, failures }: YearEffect): CalendarYear => ({
  year,
  rateRatio: {
    median: Math.exp(effect),
    lower: Math.exp(effect - Z_90 * standardError),
    upper: Math.exp(effect + Z_90 * standardError),
  },
  expected,
  failures,
});

const IN_INTERVALS =
  'Intervals of totals include it: in each draw a year is as hard or easy on every seal, so what has failed by now, what falls due, budgets and programs are less certain than the luck of single seals would make them. The interval of a single segment has it in already, since lives were fitted over years of every kind.';

function howMuch({ told, beyondChance, failures, years, gain }: YearSpread, factor: Interval): string {
  const spread = `a factor of ${factor.median.toFixed(2)} (one standard deviation; 80 % interval ${factor.lower.toFixed(2)} to ${factor.upper.toFixed(2)})`;
  const known = `${Math.round(failures).toLocaleString('en')} failures of seals whose installation is known to the month`;
  if (!told)
    return `Too little is on record to tell good years from bad ones: ${known} in ${years.length} years, and ${LEAST_YEAR_FAILURES} in ${LEAST_YEARS} are needed. Failure rates are taken to differ from year to year by ${spread}: an assumption without a source, wide enough for winters that differ.`;
  const from = `${known}, in ${years.length} years, ${years[0].year} to ${years[years.length - 1].year}; twice the gain in log marginal likelihood is ${gain.toFixed(1)}, and ${LEAST_GAIN.toFixed(1)} would be beyond chance`;
  return beyondChance
    ? `Failure rates of calendar years differ by ${spread}. Judged by ${from}.`
    : `Calendar years differ no more than chance would make them, which leaves room for ${spread} in failure rates. Judged by ${from}.`;
}
