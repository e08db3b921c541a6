import type { WeatherDay } from '../climate/climate-normals.ts';
import { civilFromDays } from '../survival/observation-dates.ts';
import { dayOfYear, type ResampleSettings, resampledDays, USUAL_RESAMPLE } from './resampled-weather.ts';
import { isWorkable, WEATHER_RULE, type WeatherShift, weatherSeries } from './weather-hours.ts';

/** How a count is spread over invented years. */
export interface Spread {
  readonly mean: number;
  readonly p10: number;
  readonly p50: number;
  readonly p90: number;
}

export interface WorkableMonth {
  /** 1 to 12. */ readonly month: number;
  /** Shifts judged in the record, and how many of them were workable. */ readonly judged: number;
  readonly workable: number;
  /** Shifts not judged for want of a reading. */ readonly missing: number;
  /** workable / judged; null when none was judged. */ readonly share: number | null;
  /** Workable shifts in a month. */ readonly days: Spread;
  /** Shifts followed by a workable one the day after: washed tonight, sealed tomorrow. */ readonly pairs: Spread;
  /** Longest run of workable shifts, days. */ readonly longestRun: Spread;
}

export interface WorkableDays {
  readonly kind: 'estimated';
  readonly rule: string;
  /** Calendar years with enough readings. */ readonly years: number;
  readonly daysJudged: number;
  readonly daysMissing: number;
  readonly replicates: number;
  readonly blockDays: number;
  /** January first. */ readonly months: readonly WorkableMonth[];
  /** Chance by day of the year (0 is 1 January), from the recorded days within a week either way. */
  readonly chanceByDay: Float64Array;
  /** Day number of the first day of the record; entry i of `flags` is i days later: 1 workable, 0 not, 2 not judged. */
  readonly firstDay: number;
  readonly flags: Uint8Array;
}

export interface WorkableDaysRefused {
  readonly kind: 'refused';
  readonly years: number;
  readonly reason: string;
}

/** With fewer years than this, one odd season would be taken for the climate. */
export const LEAST_YEARS = 3;
const ENOUGH_DAYS = 330;
const REPLICATES = 500;
const DAYS = 365;
/** 1 January 2023, a year of 365 days: invented years are laid on it. */
const COMMON_YEAR_START = 19_358;
const NEAR_DAYS = 7;

/**
 * Shifts of each month in which the work can be done, with the spread from year to year: the record's own days put together
 * anew in blocks. Refuses a record with fewer than three years that are nearly whole.
 */
export function workableDays(
  record: readonly WeatherDay[],
  shift: WeatherShift,
  { replicates = REPLICATES, ...resample }: Partial<ResampleSettings> & { readonly replicates?: number } = {},
): WorkableDays | WorkableDaysRefused {
  const series = weatherSeries(record);
  const flags = Uint8Array.from(series.maxC, (_, at) => isWorkable(series, at, shift));
  const years = wholeYears(flags, series.firstDay);
  if (years < LEAST_YEARS)
    return {
      kind: 'refused',
      years,
      reason: `The record has ${years} nearly whole ${years === 1 ? 'year' : 'years'}; workable days need at least ${LEAST_YEARS}.`,
    };
  const settings = { ...USUAL_RESAMPLE, ...resample };
  const monthOf = Int8Array.from(flags, (_, at) => civilFromDays(series.firstDay + at).month);
  const invented = inventedMonths(flags, series.firstDay, settings, replicates);
  const months = Array.from({ length: 12 }, (_, i) => {
    const { judged, workable, missing } = counted(flags, monthOf, i + 1);
    return { month: i + 1, judged, workable, missing, share: judged === 0 ? null : workable / judged, ...invented[i] };
  });
  const daysMissing = flags.reduce((sum, flag) => sum + Number(flag === 2), 0);
  return {
    kind: 'estimated',
    rule: WEATHER_RULE,
    years,
    daysJudged: flags.length - daysMissing,
    daysMissing,
    replicates,
    blockDays: settings.blockDays,
    months,
    chanceByDay: chanceByDay(flags, series.firstDay),
    firstDay: series.firstDay,
    flags,
  };
}

function wholeYears(flags: Uint8Array, firstDay: number): number {
  const judged = new Map<number, number>();
  flags.forEach((flag, at) => {
    if (flag === 2) return;
    const { year } = civilFromDays(firstDay + at);
    judged.set(year, (judged.get(year) ?? 0) + 1);
  });
  return [...judged.values()].filter((days) => days >= ENOUGH_DAYS).length;
}

function counted(flags: Uint8Array, monthOf: Int8Array, month: number) {
  const count = [0, 0, 0];
  flags.forEach((flag, at) => {
    if (monthOf[at] === month) count[flag] += 1;
  });
  return { judged: count[0] + count[1], workable: count[1], missing: count[2] };
}

/** Workable days, pairs and longest run of each month over invented years. A missing day counts as not workable. */
function inventedMonths(flags: Uint8Array, firstDay: number, settings: ResampleSettings, replicates: number) {
  const samples = Array.from({ length: 12 }, () => ({
    days: new Float64Array(replicates),
    pairs: new Float64Array(replicates),
    longestRun: new Float64Array(replicates),
  }));
  const months = Int8Array.from({ length: DAYS }, (_, day) => civilFromDays(COMMON_YEAR_START + day).month - 1);
  for (let replicate = 0; replicate < replicates; replicate++) {
    const run = { startDay: COMMON_YEAR_START, days: DAYS + 1, replicate };
    const source = resampledDays({ firstDay, days: flags.length }, run, settings);
    let streak = 0;
    for (let day = 0; day < DAYS; day++) {
      const sample = samples[months[day]];
      if (day > 0 && months[day] !== months[day - 1]) streak = 0;
      const good = flags[source[day]] === 1;
      streak = good ? streak + 1 : 0;
      if (!good) continue;
      sample.days[replicate] += 1;
      if (flags[source[day + 1]] === 1) sample.pairs[replicate] += 1;
      sample.longestRun[replicate] = Math.max(sample.longestRun[replicate], streak);
    }
  }
  return samples.map(({ days, pairs, longestRun }) => ({
    days: spreadOf(days),
    pairs: spreadOf(pairs),
    longestRun: spreadOf(longestRun),
  }));
}

/** @param values at least one */
export function spreadOf(values: Float64Array): Spread {
  const sorted = Float64Array.from(values).sort();
  const at = (share: number) => sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))];
  return { mean: sorted.reduce((a, b) => a + b, 0) / sorted.length, p10: at(0.1), p50: at(0.5), p90: at(0.9) };
}

function chanceByDay(flags: Uint8Array, firstDay: number): Float64Array {
  const [workable, judged] = [new Float64Array(DAYS), new Float64Array(DAYS)];
  flags.forEach((flag, at) => {
    if (flag === 2) return;
    const day = dayOfYear(firstDay + at);
    judged[day] += 1;
    workable[day] += flag;
  });
  return Float64Array.from(workable, (_, day) => {
    let [good, all] = [0, 0];
    for (let near = day - NEAR_DAYS; near <= day + NEAR_DAYS; near++) {
      good += workable[(near + DAYS) % DAYS];
      all += judged[(near + DAYS) % DAYS];
    }
    return all === 0 ? 0 : good / all;
  });
}
