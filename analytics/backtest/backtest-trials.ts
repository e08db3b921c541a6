import type { ShareReadings } from '../condition/condition.ts';
import { inspectorNames, packReadings, type ShareReading, sealReadings } from '../condition/share-lists.ts';
import { type Observation, observeSegment, type SegmentObservations } from '../survival/observation.ts';
import { dayNumber, yearsOfDays } from '../survival/observation-dates.ts';
import { type LeftOut, type SealIntervals, sealIntervals, yearsAfter } from './inspection-intervals.ts';
import { Rounds } from './rounds.ts';
import type { TrialHistory, TrialRules } from './trial-history.ts';
import { classIndex, type Trials, TrialTable } from './trial-table.ts';

export interface CutoffOptions {
  /** ISO days before `today`, rising. */ readonly cutoffs: readonly string[];
  /** Looks later than this after the cut-off are not forecast. */ readonly horizonYears: number;
  /** Seals installed after the cut-off take part, as new ones. Left out: true. */ readonly includeLaterSeals?: boolean;
}

/** Rows of a fit, in years; `seal` says whose covariates a row has. */
export interface KnownRows {
  readonly seal: Int32Array;
  readonly sealantClass: Int32Array;
  readonly entryYears: Float64Array;
  readonly lowerYears: Float64Array;
  /** Infinity while sound. */ readonly upperYears: Float64Array;
}

/** What the records said on a cut-off date, and nothing later. */
export interface KnownBefore {
  readonly cutoff: string;
  readonly rows: KnownRows;
  /** Damaged shares read by then, one row for each seal of the histories in their order. */
  readonly readings: Required<ShareReadings>;
  /** Inspection intervals that had ended by then: what the simple methods learn from. */ readonly past: Trials;
}

export interface BacktestTrials {
  readonly trials: Trials;
  /** One for each cut-off. */ readonly knownBefore: readonly KnownBefore[];
  readonly horizonYears: number;
  /** Seals whose records cannot be used as outcomes. */ readonly leftOutSeals: Readonly<Record<LeftOut, number>>;
  /** Trials of seals that were installed after the cut-off. */ readonly laterSealTrials: number;
}

/**
 * For each cut-off: what was known then, and the inspection intervals that ended with a look in the years after it. The
 * first interval of a seal starts at its last sound look by the cut-off (installation or the beginning of records where
 * there was none), later ones where the one before ended. Seals found failed or removed by the cut-off have none.
 * Outcomes are read from all records to `today`, so that a reading which later ones prove wrong is no failure.
 * @param onProgress called with the share of histories done, 0 to 1
 * @throws RangeError when cut-offs do not rise or lie after `today`, or the horizon is not above 0
 */
export function backtestTrials(
  histories: readonly TrialHistory[],
  rules: TrialRules,
  options: CutoffOptions,
  onProgress?: (shareDone: number) => void,
): BacktestTrials {
  checkCutoffs(rules, options);
  const { cutoffs, horizonYears, includeLaterSeals = true } = options;
  const table = new TrialTable(histories, cutoffs);
  const rounds = new Rounds(histories, rules);
  const known = cutoffs.map((cutoff) => new KnownCollector(histories, { ...rules, today: cutoff }, rounds));
  const cutoffDays = cutoffs.map(dayNumber);
  const ends = cutoffs.map((cutoff) => dayNumber(yearsAfter(cutoff, horizonYears)));
  const leftOutSeals = { contradictory: 0, impossible: 0, unsealed: 0 };
  let laterSealTrials = 0;
  eachSegment(histories, onProgress, (history, segment, firstSeal) => {
    const outcome = sealIntervals(history, readAsOf(history, rules), rules, rounds);
    for (const { leftOut } of outcome) if (leftOut) leftOutSeals[leftOut]++;
    cutoffDays.forEach((cutoffDay, c) => {
      const reading = known[c].add(history, segment, firstSeal);
      outcome.forEach((seal, sealOfSegment) => {
        const later = seal.earliestDay > cutoffDay;
        const atRisk = later ? includeLaterSeals : soundAt(reading, sealOfSegment, seal, cutoffDay);
        if (!atRisk) return;
        const intervals = seal.intervals.filter(({ lookDay }) => lookDay > cutoffDay && lookDay <= ends[c]);
        table.add({ cutoff: c, cutoffDay, segment, seal: firstSeal + sealOfSegment, sealOfSegment }, intervals);
        if (later) laterSealTrials += intervals.length;
      });
    });
  });
  return {
    trials: table.finish(),
    knownBefore: known.map((collector) => collector.finish()),
    horizonYears,
    leftOutSeals,
    laterSealTrials,
  };
}

/** Every inspection interval on record: the trials that a fit to all records is checked against. */
export function inspectionTrials(histories: readonly TrialHistory[], rules: TrialRules): Trials {
  const collector = new KnownCollector(histories, rules, new Rounds(histories, rules));
  eachSegment(histories, undefined, (history, segment, firstSeal) => {
    collector.add(history, segment, firstSeal);
  });
  return collector.finish().past;
}

function checkCutoffs({ today }: TrialRules, { cutoffs, horizonYears }: CutoffOptions): void {
  if (cutoffs.length === 0) throw new RangeError('There is no cut-off; expected at least one day before today');
  if (!(horizonYears > 0)) throw new RangeError(`horizonYears is ${horizonYears}; expected above 0`);
  cutoffs.forEach((cutoff, c) => {
    const next = cutoffs[c + 1] ?? today;
    if (dayNumber(cutoff) >= dayNumber(next))
      throw new RangeError(`Cut-off ${cutoff} is not before ${next}; expected rising days before today`);
  });
}

function eachSegment(
  histories: readonly TrialHistory[],
  onProgress: ((shareDone: number) => void) | undefined,
  visit: (history: TrialHistory, segment: number, firstSeal: number) => void,
): void {
  let firstSeal = 0;
  histories.forEach((history, segment) => {
    visit(history, segment, firstSeal);
    firstSeal += history.records.seals.length;
    if (onProgress && segment % 1000 === 999) onProgress((segment + 1) / histories.length);
  });
}

const readAsOf = (history: TrialHistory, rules: TrialRules): SegmentObservations =>
  observeSegment(history.records, { ...rules, recordsFrom: history.recordsFrom });

/** In place on the cut-off date and not known to have failed, neither then nor by what is known now. */
function soundAt(reading: SegmentObservations, place: number, outcome: SealIntervals, cutoffDay: number): boolean {
  const { inPlace, knownFailed } = reading.seals[place];
  const failedBefore = outcome.intervals.some(({ failed, lookDay }) => failed && lookDay <= cutoffDay);
  return inPlace && !knownFailed && !failedBefore;
}

/** Collects what was known on one day: rows of a fit and past inspection intervals. */
class KnownCollector {
  private readonly rules: TrialRules;
  private readonly rounds: Rounds;
  private readonly past: TrialTable;
  private readonly classes;
  private readonly rows: { seal: number; sealantClass: number; observation: Observation }[] = [];
  private readonly readings: ShareReading[][] = [];

  constructor(histories: readonly TrialHistory[], rules: TrialRules, rounds: Rounds) {
    this.rules = rules;
    this.rounds = rounds;
    this.past = new TrialTable(histories, [rules.today]);
    this.classes = classIndex(histories);
  }

  add(history: TrialHistory, segment: number, firstSeal: number): SegmentObservations {
    const reading = readAsOf(history, this.rules);
    const { today, inspectionMethod } = this.rules;
    const cutoffDay = dayNumber(today);
    const { seals, inspections } = history.records;
    for (const [i, seal] of seals.entries())
      this.readings.push(sealReadings(seal, reading.seals[i], inspections, inspectionMethod));
    sealIntervals(history, reading, this.rules, this.rounds).forEach(({ intervals }, sealOfSegment) => {
      const seal = firstSeal + sealOfSegment;
      this.past.add({ cutoff: 0, cutoffDay, segment, seal, sealOfSegment }, intervals);
      const { observation } = reading.seals[sealOfSegment];
      const sealantClass = this.classes.of(history.sealantClasses[sealOfSegment]);
      if (observation) this.rows.push({ seal, sealantClass, observation });
    });
    return reading;
  }

  finish(): KnownBefore {
    const { rows, readings } = this;
    const years = (daysOf: (observation: Observation) => number): Float64Array =>
      Float64Array.from(rows, ({ observation }) => yearsOfDays(daysOf(observation)));
    return {
      cutoff: this.rules.today,
      rows: {
        seal: Int32Array.from(rows, ({ seal }) => seal),
        sealantClass: Int32Array.from(rows, ({ sealantClass }) => sealantClass),
        entryYears: years(({ entryDays }) => entryDays),
        lowerYears: years(({ lowerDays }) => lowerDays),
        upperYears: years(({ upperDays }) => upperDays),
      },
      readings: packReadings(readings, inspectorNames(readings)),
      past: this.past.finish(),
    };
  }
}
