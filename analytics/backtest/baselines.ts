import type { BacktestTrials, KnownBefore } from './backtest-trials.ts';
import { type ClassLifeCurve, classLifeCurve, curveFailure } from './class-life-curve.ts';
import { isotonicShares, sharesEachSide } from './learnt-shares.ts';
import { fixedForecast, type TrialForecast } from './trial-forecast.ts';

/** Published or believed median life of a class, years: what an agency plans with until its records say otherwise. */
export type MedianOfClass = (sealantClass: string) => number;

export const BASELINE_NAMES = {
  fixedLife: 'fixed life',
  classCurve: 'class curve',
  ageRanking: 'age ranking',
} as const;

export interface Baselines {
  readonly forecasts: readonly TrialForecast[];
  /** The median lives that fixed life and age ranking used at each cut-off. */
  readonly fixedLives: readonly {
    readonly cutoff: string;
    readonly classes: readonly { readonly sealantClass: string; readonly medianYears: number }[];
  }[];
}

/** With fewer failures than this a class's own median is not believed, and the published one is used. */
const FAILURES_FOR_MEDIAN = 10;
/** With fewer failures than this a class has no curve of its own, and that of all classes is used. */
const FAILURES_FOR_CURVE = 5;

/**
 * The three ways in which agencies forecast today, given what the model was given: the records to each cut-off.
 *
 * Fixed life: a seal fails at its class's median life, observed where there are ten failures, else published. The chance is
 * the share found failed among past looks on the same side of that age, so that its errors are priced at their own rate.
 * Class curve: Turnbull's curve of the class, conditional on soundness at the start, never surer than its count of rows.
 * Age ranking: age at the look over the class's median life, turned into a chance by isotonic regression on past looks.
 */
export function baselineForecasts({ trials, knownBefore }: BacktestTrials, medianOf: MedianOfClass): Baselines {
  const fixedLife = new Float64Array(trials.count);
  const classCurve = new Float64Array(trials.count);
  const ageRanking = new Float64Array(trials.count);
  const learnt = knownBefore.map((known) => new LearntBefore(known, trials.labels.classes, medianOf));
  for (let i = 0; i < trials.count; i++) {
    const before = learnt[trials.cutoff[i]];
    const sealantClass = trials.sealantClass[i];
    const lifeShare = trials.lookYears[i] / before.medianYears[sealantClass];
    fixedLife[i] = before.fixedLife(lifeShare);
    classCurve[i] = before.classCurve(sealantClass, trials.fromYears[i], trials.lookYears[i]);
    ageRanking[i] = before.ageRanking(lifeShare);
  }
  return {
    forecasts: [
      fixedForecast(BASELINE_NAMES.fixedLife, fixedLife),
      fixedForecast(BASELINE_NAMES.classCurve, classCurve),
      fixedForecast(BASELINE_NAMES.ageRanking, ageRanking),
    ],
    fixedLives: learnt.map(({ medianYears }, c) => ({
      cutoff: trials.labels.cutoffs[c],
      classes: trials.labels.classes.map((name, k) => ({ sealantClass: name, medianYears: medianYears[k] })),
    })),
  };
}

/** What the simple methods learn from the records to one cut-off. */
class LearntBefore {
  /** One for each class. */ readonly medianYears: Float64Array;
  /** Chance of a look at an age that is a multiple of the class's median life. */
  readonly fixedLife: (lifeShare: number) => number;
  readonly ageRanking: (lifeShare: number) => number;
  private readonly curves: readonly (ClassLifeCurve | null)[];
  private readonly pooled: ClassLifeCurve | null;

  constructor({ rows, past }: KnownBefore, classes: readonly string[], medianOf: MedianOfClass) {
    const members: number[][] = classes.map(() => []);
    rows.sealantClass.forEach((sealantClass, i) => {
      members[sealantClass].push(i);
    });
    this.curves = members.map((picked) => classLifeCurve(rows, picked));
    this.pooled = classLifeCurve(rows, [...rows.seal.keys()]);
    this.medianYears = Float64Array.from(classes, (name, c) => medianKnown(this.curves[c]) ?? medianOf(name));
    const lifeShares = past.lookYears.map((age, i) => age / this.medianYears[past.sealantClass[i]]);
    this.fixedLife = sharesEachSide(lifeShares, past.failed, 1);
    this.ageRanking = isotonicShares(lifeShares, past.failed);
  }

  classCurve(sealantClass: number, fromYears: number, lookYears: number): number {
    const own = this.curves[sealantClass];
    const curve = own && own.failures >= FAILURES_FOR_CURVE ? own : this.pooled;
    if (!curve) return 0.5;
    const least = 0.5 / (curve.rows + 1);
    return Math.min(1 - least, Math.max(least, curveFailure(curve, fromYears, lookYears)));
  }
}

const medianKnown = (curve: ClassLifeCurve | null): number | null =>
  curve && curve.failures >= FAILURES_FOR_MEDIAN ? curve.medianYears : null;
