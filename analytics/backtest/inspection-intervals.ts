import type { SegmentObservations } from '../survival/observation.ts';
import { dayNumber, isoDay, middleDay } from '../survival/observation-dates.ts';
import { sealSpans } from '../survival/observation-looks.ts';
import type { Rounds } from './rounds.ts';
import type { TrialHistory, TrialRules } from './trial-history.ts';

/** From one look that found a seal sound to the next look at it. Ages from the middle of the installation range. */
export interface InspectionInterval {
  readonly fromDays: number;
  readonly lookDays: number;
  /** Day of the look, since 1970-01-01. */ readonly lookDay: number;
  readonly failed: boolean;
  /** Damaged share at the start; NaN where the interval starts with no look. */ readonly fromShare: number;
}

export interface SealIntervals {
  /** Day from which ages count. */ readonly installedDay: number;
  /** Earliest day of installation. */ readonly earliestDay: number;
  /** First day at risk: installation, or the day on which its facility's records began. */ readonly entryDay: number;
  readonly intervals: readonly InspectionInterval[];
  /** Why its records are not used, or null. */ readonly leftOut: LeftOut | null;
}

export type LeftOut = 'contradictory' | 'impossible' | 'unsealed';

const LEFT_OUT: Readonly<Record<string, LeftOut>> = {
  'contradictory-left-out': 'contradictory',
  'impossible-records': 'impossible',
  'unsealed-by-policy': 'unsealed',
};

/**
 * The inspection intervals of every seal of a segment, as its reading tells them: each starts where the seal was last known
 * sound (at installation, when records began, or at a look) and ends at the next look. The first look that found it failed
 * is the last. A removal as failed that no inspection saw counts as a look that found it failed: leaving those out would
 * drop failures and keep the soundness of their neighbours. That look is taken to be in the last round of its facility
 * before the removal: sound seals were looked at then too, whereas days of removal are days of failed seals alone.
 */
export function sealIntervals(
  history: TrialHistory,
  reading: SegmentObservations,
  rules: TrialRules,
  rounds: Rounds,
): readonly SealIntervals[] {
  const { records, facility } = history;
  const spans = sealSpans(records.seals, dayNumber(rules.today));
  const recordsFrom = history.recordsFrom === null ? Number.NEGATIVE_INFINITY : dayNumber(history.recordsFrom);
  return reading.seals.map((seal, i) => {
    const { earliest, latest, removal } = spans[i];
    const installedDay = middleDay(earliest, Math.max(earliest, latest));
    const entryDay = Math.max(installedDay, recordsFrom);
    const leftOut = LEFT_OUT[seal.rule] ?? null;
    const chain = new IntervalChain(entryDay - installedDay);
    if (leftOut === null) {
      for (const look of seal.looks) {
        chain.add(
          look.ageDays,
          installedDay + look.ageDays,
          look.share >= rules.failureThresholdShare - 1e-9,
          look.share,
        );
      }
      if (seal.rule === 'removed-failed' && seal.observation && removal) {
        const foundDay = rounds.lastWithin(facility, installedDay + chain.fromDays, removal.to) ?? removal.to;
        chain.add(foundDay - installedDay, foundDay, true, 1);
      }
    }
    return { installedDay, earliestDay: earliest, entryDay, intervals: chain.intervals, leftOut };
  });
}

class IntervalChain {
  readonly intervals: InspectionInterval[] = [];
  /** Age from which the next interval starts. */ fromDays: number;
  private fromShare = Number.NaN;
  private over = false;

  constructor(entryDays: number) {
    this.fromDays = entryDays;
  }

  add(lookDays: number, lookDay: number, failed: boolean, share: number): void {
    if (this.over) return;
    this.over = failed;
    if (!(lookDays > this.fromDays)) return;
    this.intervals.push({ fromDays: this.fromDays, lookDays, lookDay, failed, fromShare: this.fromShare });
    this.fromDays = lookDays;
    this.fromShare = share;
  }
}

/** ISO day a number of years of 365.25 days after another. */
export const yearsAfter = (day: string, years: number): string => isoDay(dayNumber(day) + Math.round(years * 365.25));
