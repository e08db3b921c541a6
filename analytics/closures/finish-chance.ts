import quantile from '@stdlib/stats-base-dists-normal-quantile';
import { keyedSequence, keyedUniform, keyOfName } from '../numeric/keyed-uniform.ts';
import { civilFromDays, dayNumber } from '../survival/observation-dates.ts';
import { wilsonInterval } from './chance-interval.ts';
import type { CivilMinute } from './closure-plan.ts';
import { dayOfYear, type ResampleSettings, resampledDays, USUAL_RESAMPLE } from './resampled-weather.ts';
import { type Spread, spreadOf } from './workable-days.ts';

/** A station's record, judged day by day for some hours and limits. */
export interface JudgedRecord {
  /** Day number of entry 0. */ readonly firstDay: number;
  /** 1 workable, 0 not, 2 not judged. */ readonly flags: Uint8Array;
  /** Chance by day of the year, for days that were not judged. */ readonly chanceByDay: Float64Array;
  /** Nearly whole years. */ readonly years: number;
}

/** Work of one crew in one shift, as far as its end is uncertain. */
export interface ShiftWork {
  readonly crewId: string;
  /** At the planned pace, min, above 0. */ readonly minutes: number;
  /** The work may take this many times its planned minutes, and all waits still end in time; 0 or more. */
  readonly mostFactor: number;
  /** Standard deviation of the logarithm of the pace. */ readonly spread: number;
  /** Day on which the shift starts, and the records by which its weather is judged: all must be workable; empty: any weather. */
  readonly day: number;
  readonly records: readonly JudgedRecord[];
}

/** A closure, or a window held for work that others leave. */
export interface UncertainClosure {
  /** Draws belong to it: the same name meets the same luck. */ readonly id: string;
  readonly facilityId: string;
  readonly startMinute: CivilMinute;
  /** By time. */ readonly shifts: readonly ShiftWork[];
  /** Has no work of its own: takes up what closures before it left. */ readonly reserve: boolean;
}

/** A chance with its interval of eight in ten. */
export interface Chance {
  readonly share: number;
  readonly low: number;
  readonly high: number;
}

export interface FinishChances {
  /** Of each closure's own work in its own window, by id. */ readonly byClosure: ReadonlyMap<string, Chance>;
  /** That nothing is left after the last closure. */ readonly all: Chance;
  /** Share of the work, by crew time, that is finished then. */ readonly finishedShare: Spread;
  readonly draws: number;
  /** Fewest years of any record used; null: no weather was looked at. */ readonly years: number | null;
}

export interface ChanceSettings extends ResampleSettings {
  readonly draws: number;
  /**
   * Share of a pace's variance that stays with a crew all through the plan (its rate was guessed too high or too low); the
   * rest is drawn anew in each shift. Common practice: half.
   */
  readonly lastingShare: number;
  /** Told the share done; true ends with the draws made so far. */ readonly stop?: (share: number) => boolean;
}

export const USUAL_CHANCE: ChanceSettings = { ...USUAL_RESAMPLE, draws: 1000, lastingShare: 0.5 };

/** Left-out groups of years and draws of each: how far the weather of another record could move a chance. */
const YEAR_GROUPS = 8;
const YEAR_DRAWS = 300;
/** Recorded days behind the weather of one shift: a week either way, in each year. */
const DAYS_NEAR = 15;

/**
 * Chance that work finishes, by drawing pace and weather again and again. The pace of a crew in a shift is lognormal around
 * the planned one; weather is the station's record put together anew in blocks of days. What a closure leaves is taken up in
 * the time that later closures and reserve windows of its facility have to spare. Draws belong to crews, closures and days
 * by name, so that two plans meet the same luck. Intervals hold the number of draws and, by leaving groups of years out, the
 * length of the record.
 */
export function finishChances(
  closures: readonly UncertainClosure[],
  settings: Partial<ChanceSettings> = {},
): FinishChances {
  const simulation = new FinishSimulation(closures, { ...USUAL_CHANCE, ...settings });
  return simulation.chances();
}

interface Trial {
  readonly finished: Float64Array;
  all: number;
  readonly shares: number[];
  draws: number;
}

class FinishSimulation {
  private readonly closures: readonly UncertainClosure[];
  private readonly settings: ChanceSettings;
  private readonly records: readonly JudgedRecord[];
  /** Last day of each calendar year that has any, day number. */ private readonly lastDays: ReadonlyMap<
    number,
    number
  >;
  /** By closure and shift: how many times the planned minutes the work takes, by draw. */
  private readonly factors: Float64Array[][];
  private readonly dates: DateAt[][];
  private readonly unjudged: Int32Array;
  private readonly totalMinutes: number;
  private ended = false;

  constructor(closures: readonly UncertainClosure[], settings: ChanceSettings) {
    this.closures = [...closures].sort(
      (a, b) => a.startMinute - b.startMinute || Number(a.reserve) - Number(b.reserve) || (a.id < b.id ? -1 : 1),
    );
    this.settings = settings;
    const shifts = closures.flatMap((closure) => closure.shifts);
    this.records = [...new Set(shifts.flatMap(({ records }) => records))];
    this.lastDays = lastDaysByYear(shifts);
    this.dates = this.closures.map((closure) => closure.shifts.map(({ day }) => dateAt(day)));
    this.unjudged = Int32Array.from(this.closures, ({ id }) => keyedSequence(settings.seed, keyOfName(id), 2));
    this.factors = this.closures.map(({ id, shifts: own }) => own.map((work, i) => this.paceFactors(id, i, work)));
    this.totalMinutes = this.closures.reduce((sum, closure) => sum + ownMinutes(closure), 0);
  }

  chances(): FinishChances {
    const { draws } = this.settings;
    const whole = this.trial(draws, () => false, [0, 0.5]);
    const years = this.records.length === 0 ? null : Math.min(...this.records.map((record) => record.years));
    const groups = years === null || this.ended ? 0 : Math.min(YEAR_GROUPS, years);
    const without = Array.from({ length: groups }, (_, group) =>
      this.trial(Math.min(YEAR_DRAWS, draws), (year) => year % groups === group, [
        0.5 + (0.5 * group) / groups,
        0.5 + (0.5 * (group + 1)) / groups,
      ]),
    ).filter((trial) => trial.draws > 0);
    const chanceOf = (count: (trial: Trial) => number): Chance => {
      const share = count(whole) / Math.max(1, whole.draws);
      const groupShares = without.map((trial) => count(trial) / trial.draws);
      const known = { draws: whole.draws, recordedDays: years === null ? null : years * DAYS_NEAR };
      return { share, ...wilsonInterval(share, sampleSize(share, groupShares, known)) };
    };
    const byClosure = new Map<string, Chance>();
    this.closures.forEach(({ id, reserve, shifts }, i) => {
      if (!reserve && shifts.length > 0)
        byClosure.set(
          id,
          chanceOf(({ finished }) => finished[i]),
        );
    });
    return {
      ...{ byClosure, draws: whole.draws, years },
      all: chanceOf(({ all }) => all),
      finishedShare: spreadOf(Float64Array.from(whole.shares)),
    };
  }

  private paceFactors(id: string, shift: number, { crewId, spread }: ShiftWork): Float64Array {
    const { seed, draws, lastingShare } = this.settings;
    const lasting = keyedSequence(seed, keyOfName(crewId), 0);
    const passing = keyedSequence(seed, keyOfName(`${id}/${shift}/${crewId}`), 1);
    const [a, b] = [Math.sqrt(lastingShare), Math.sqrt(1 - lastingShare)];
    return Float64Array.from({ length: draws }, (_, r) =>
      spread === 0
        ? 1
        : Math.exp(
            spread * (a * quantile(keyedUniform(lasting, r), 0, 1) + b * quantile(keyedUniform(passing, r), 0, 1)),
          ),
    );
  }

  private trial(draws: number, leftOut: (year: number) => boolean, [from, to]: readonly [number, number]): Trial {
    const trial: Trial = { finished: new Float64Array(this.closures.length), all: 0, shares: [], draws: 0 };
    for (let r = 0; r < draws && !this.ended; r++) {
      this.draw(trial, r, leftOut);
      trial.draws += 1;
      if (r % 50 === 49) this.ended = this.settings.stop?.(from + ((to - from) * (r + 1)) / draws) ?? false;
    }
    return trial;
  }

  private draw(trial: Trial, r: number, leftOut: (year: number) => boolean): void {
    const weather = this.weatherOf(r, leftOut);
    const left = new Map<string, number>();
    this.closures.forEach(({ facilityId, shifts, reserve }, i) => {
      let debt = left.get(facilityId) ?? 0;
      let finished = true;
      shifts.forEach((work, s) => {
        const factor = this.factors[i][s][r];
        const workable = work.records.every((record) =>
          this.isWorkable(weather, record, this.dates[i][s], this.unjudged[i], r),
        );
        finished &&= workable && factor <= work.mostFactor * (1 + ROUNDING);
        const possible = workable ? (work.minutes * work.mostFactor) / factor : 0;
        const wanted = debt + (reserve ? 0 : work.minutes);
        debt = Math.max(0, wanted - possible);
      });
      left.set(facilityId, debt);
      if (finished) trial.finished[i] += 1;
    });
    let minutesLeft = 0;
    for (const debt of left.values()) minutesLeft += debt;
    if (minutesLeft <= ROUNDING * this.totalMinutes) trial.all += 1;
    trial.shares.push(this.totalMinutes === 0 ? 1 : 1 - minutesLeft / this.totalMinutes);
  }

  /** Which recorded day each day has, record by record and year by year: one stream, so that stations share their spells. */
  private weatherOf(replicate: number, leftOut: (year: number) => boolean): Weather {
    const known = new Map<string, Map<number, Int32Array>>();
    return new Map(
      this.records.map((record) => {
        const span = { firstDay: record.firstDay, days: record.flags.length };
        const key = `${span.firstDay}/${span.days}`;
        const source = known.get(key) ?? this.yearsOf(span, replicate, leftOut);
        known.set(key, source);
        return [record, source];
      }),
    );
  }

  private yearsOf(
    span: { readonly firstDay: number; readonly days: number },
    replicate: number,
    leftOut: (year: number) => boolean,
  ): Map<number, Int32Array> {
    const { seed } = this.settings;
    return new Map(
      [...this.lastDays].map(([year, lastDay]) => {
        const startDay = dayNumber(`${year}-01-01`);
        const run = { startDay, days: lastDay - startDay + 1, replicate };
        return [year, resampledDays(span, run, { ...this.settings, seed: seed + year }, leftOut)];
      }),
    );
  }

  private isWorkable(
    weather: Weather,
    record: JudgedRecord,
    { year, at, dayOfYear: of }: DateAt,
    key: number,
    r: number,
  ): boolean {
    const flag = record.flags[weather.get(record)?.get(year)?.[at] ?? 0];
    return flag === 2 ? keyedUniform(key, r) < record.chanceByDay[of] : flag === 1;
  }
}

/** A day as it is looked up: its year, and its place in it. */
interface DateAt {
  readonly year: number;
  readonly at: number;
  /** 0 to 364. */ readonly dayOfYear: number;
}

function dateAt(day: number): DateAt {
  const { year } = civilFromDays(day);
  return { year, at: day - dayNumber(`${year}-01-01`), dayOfYear: dayOfYear(day) };
}

/** By record and calendar year: for each day of the year, the entry of the record whose weather it has. */
type Weather = ReadonlyMap<JudgedRecord, ReadonlyMap<number, Int32Array>>;

function lastDaysByYear(shifts: readonly ShiftWork[]): Map<number, number> {
  const last = new Map<number, number>();
  for (const { day } of shifts) {
    const { year } = civilFromDays(day);
    last.set(year, Math.max(day, last.get(year) ?? day));
  }
  return last;
}

const ROUNDING = 1e-9;

const ownMinutes = ({ reserve, shifts }: UncertainClosure): number =>
  reserve ? 0 : shifts.reduce((sum, { minutes }) => sum + minutes, 0);

/**
 * How many independent trials a share is worth: as many as the draws, fewer where leaving a group of years out moves it
 * (jackknife of groups), and no more than the recorded days behind its weather.
 */
function sampleSize(
  share: number,
  withoutGroup: readonly number[],
  { draws, recordedDays }: { draws: number; recordedDays: number | null },
): number {
  const groups = withoutGroup.length;
  const mean = withoutGroup.reduce((sum, each) => sum + each, 0) / Math.max(1, groups);
  const betweenYears =
    groups < 2 ? 0 : ((groups - 1) / groups) * withoutGroup.reduce((sum, each) => sum + (each - mean) ** 2, 0);
  const one = share * (1 - share);
  const variance = one / Math.max(1, draws) + betweenYears;
  const most = Math.min(Math.max(1, draws), recordedDays ?? Number.POSITIVE_INFINITY);
  return variance > 0 ? Math.min(most, Math.max(1, one / variance)) : most;
}
