import { yearsOfDays } from '../survival/observation-dates.ts';
import type { InspectionInterval } from './inspection-intervals.ts';
import { LabelIndex, NO_ZONE, type TrialHistory, type TrialLabels } from './trial-history.ts';

/**
 * Trials in columns: one for each inspection interval of a seal. A forecast gives each the chance that the look at its end
 * finds the seal failed, given that it was sound at its start; chances of one life multiply along its trials.
 */
export interface Trials {
  readonly count: number;
  /** Index of the cut-off from which it is forecast. */ readonly cutoff: Int32Array;
  /** Index of the seal in the order of the histories and their seals. */ readonly seal: Int32Array;
  /** Index of the history. */ readonly segment: Int32Array;
  /** One number for each seal and cut-off; trials of one life stand together, in order of age. */
  readonly life: Int32Array;
  /** One number for each seal and day of look: trials of several cut-offs that end with one look share it. */
  readonly look: Int32Array;
  readonly fromYears: Float64Array;
  readonly lookYears: Float64Array;
  /** From the cut-off to the look. */ readonly leadYears: Float64Array;
  /** 1: found failed. */ readonly failed: Uint8Array;
  readonly lengthM: Float64Array;
  /** Damaged share at the start; NaN where it starts with no look. */ readonly fromShare: Float64Array;
  readonly facility: Int32Array;
  readonly district: Int32Array;
  readonly sealantClass: Int32Array;
  readonly climateZone: Int32Array;
  readonly labels: TrialLabels;
}

/** The trials of one life stand together: from `first` up to `end`. */
export interface LifeTrials {
  readonly first: number;
  readonly end: number;
}

export interface TrialOrigin {
  readonly cutoff: number;
  readonly cutoffDay: number;
  readonly segment: number;
  readonly seal: number;
  /** Place of the seal in its segment. */ readonly sealOfSegment: number;
}

/** Collects trials; the labels come from all histories, so that tables of the same histories share them. */
export class TrialTable {
  private readonly histories: readonly TrialHistory[];
  private readonly indexes;
  private readonly cutoffs: readonly string[];
  private readonly numbers: number[][] = Array.from({ length: 5 }, () => []);
  private readonly origins: TrialOrigin[] = [];
  private readonly lifeOf: number[] = [];
  private readonly lookOf: number[] = [];
  /** Looks of the segment that was added last, by seal and day. */
  private readonly looks = new Map<string, number>();
  private lookCount = 0;
  private lives = 0;

  constructor(histories: readonly TrialHistory[], cutoffs: readonly string[]) {
    this.histories = histories;
    this.cutoffs = cutoffs;
    this.indexes = labelIndexes(histories);
  }

  /** Adds the trials of one life, in order of age; segments one after the other. */
  add(origin: TrialOrigin, intervals: readonly InspectionInterval[]): void {
    if (intervals.length === 0) return;
    if (this.origins.at(-1)?.segment !== origin.segment) this.looks.clear();
    for (const interval of intervals) {
      const key = `${origin.seal}/${interval.lookDay}`;
      const look = this.looks.get(key) ?? this.lookCount++;
      this.looks.set(key, look);
      this.origins.push(origin);
      this.lifeOf.push(this.lives);
      this.lookOf.push(look);
      const { fromDays, lookDays, lookDay, failed, fromShare } = interval;
      const lead = yearsOfDays(lookDay - origin.cutoffDay);
      [yearsOfDays(fromDays), yearsOfDays(lookDays), lead, Number(failed), fromShare].forEach((value, k) => {
        this.numbers[k].push(value);
      });
    }
    this.lives++;
  }

  finish(): Trials {
    const { histories, origins, indexes, numbers } = this;
    const of = (pick: (history: TrialHistory, origin: TrialOrigin) => number): Int32Array =>
      Int32Array.from(origins, (origin) => pick(histories[origin.segment], origin));
    return {
      count: origins.length,
      cutoff: of((_, origin) => origin.cutoff),
      seal: of((_, origin) => origin.seal),
      segment: of((_, origin) => origin.segment),
      life: Int32Array.from(this.lifeOf),
      look: Int32Array.from(this.lookOf),
      fromYears: Float64Array.from(numbers[0]),
      lookYears: Float64Array.from(numbers[1]),
      leadYears: Float64Array.from(numbers[2]),
      failed: Uint8Array.from(numbers[3]),
      fromShare: Float64Array.from(numbers[4]),
      lengthM: Float64Array.from(origins, ({ segment }) => histories[segment].lengthM),
      facility: of(({ facility }) => indexes.facilities.of(facility)),
      district: of(({ district }) => indexes.districts.of(district)),
      sealantClass: of(({ sealantClasses }, { sealOfSegment }) => indexes.classes.of(sealantClasses[sealOfSegment])),
      climateZone: of(({ climateZone }) => indexes.zones.of(climateZone ?? NO_ZONE)),
      labels: {
        cutoffs: this.cutoffs,
        facilities: indexes.facilities.names,
        districts: indexes.districts.names,
        classes: indexes.classes.names,
        zones: indexes.zones.names,
      },
    };
  }
}

function labelIndexes(histories: readonly TrialHistory[]) {
  return {
    facilities: new LabelIndex(histories.map(({ facility }) => facility)),
    districts: new LabelIndex(histories.map(({ district }) => district)),
    classes: classIndex(histories),
    zones: new LabelIndex(histories.map(({ climateZone }) => climateZone ?? NO_ZONE)),
  };
}

export const classIndex = (histories: readonly TrialHistory[]): LabelIndex =>
  new LabelIndex(histories.flatMap(({ sealantClasses }) => sealantClasses));
