import { LEVEL, type Range } from '../backtest/calibration.ts';
import { chanceOfAtMost } from '../backtest/poisson-binomial.ts';
import type { Trials } from '../backtest/trial-table.ts';

/** Failures found in inspection intervals against those that the fit expects in them. */
export interface ObservedExpected {
  readonly label: string;
  readonly trials: number;
  readonly observed: number;
  readonly expected: number;
  /** Observed over expected; null where nothing was expected, and so below. */ readonly ratio: number | null;
  /** Exact 80 % interval of the ratio. */ readonly interval: Range | null;
}

export interface ObservedExpectedReport {
  readonly overall: ObservedExpected;
  /** Ten groups of equal size, from the smallest chances to the largest. */ readonly byDecile: readonly ObservedExpected[];
  /** By age in the middle of the interval. */ readonly byAge: readonly ObservedExpected[];
  readonly byClass: readonly ObservedExpected[];
  readonly byZone: readonly ObservedExpected[];
}

const DECILES = 10;
const AGE_BAND_YEARS = 3;
const OLDEST_BAND_YEARS = 24;

/**
 * The first check of a fit: each inspection of a seal that was sound at its last look is a trial with a chance of failure,
 * conditional on that soundness, so censoring and delayed entry need no weighting.
 * @param chance one for each trial of `inspectionTrials`, as the fit gives it
 */
export function observedAgainstExpected(trials: Trials, chance: Float64Array): ObservedExpectedReport {
  const ratios = (labels: readonly string[], groupOf: ArrayLike<number>): ObservedExpected[] => {
    const members: number[][] = labels.map(() => []);
    for (let i = 0; i < trials.count; i++) members[groupOf[i]].push(i);
    return members.flatMap((picked, g) => (picked.length > 0 ? [ratioOf(labels[g], picked, trials, chance)] : []));
  };
  const { labels, sealantClass, climateZone, fromYears, lookYears } = trials;
  const bands = OLDEST_BAND_YEARS / AGE_BAND_YEARS;
  const ageBand = fromYears.map((from, i) => Math.min(bands, Math.floor((from + lookYears[i]) / 2 / AGE_BAND_YEARS)));
  return {
    overall: ratioOf('all', [...fromYears.keys()], trials, chance),
    byDecile: ratios(decileLabels(), decilesOf(chance)),
    byAge: ratios(ageLabels(bands), ageBand),
    byClass: ratios(labels.classes, sealantClass),
    byZone: ratios(labels.zones, climateZone),
  };
}

const decileLabels = (): string[] => Array.from({ length: DECILES }, (_, k) => `tenth ${k + 1}`);

const ageLabels = (bands: number): string[] => [
  ...Array.from({ length: bands }, (_, k) => `${k * AGE_BAND_YEARS} to ${(k + 1) * AGE_BAND_YEARS} years`),
  `over ${OLDEST_BAND_YEARS} years`,
];

function decilesOf(chance: Float64Array): Int32Array {
  const order = Int32Array.from(chance.keys()).sort((a, b) => chance[a] - chance[b] || a - b);
  const decile = new Int32Array(chance.length);
  order.forEach((i, rank) => {
    decile[i] = Math.floor((rank * DECILES) / chance.length);
  });
  return decile;
}

function ratioOf(label: string, members: readonly number[], trials: Trials, chance: Float64Array): ObservedExpected {
  const chances = Float64Array.from(members, (i) => chance[i]);
  const observed = members.reduce((sum, i) => sum + trials.failed[i], 0);
  const expected = chances.reduce((sum, p) => sum + p, 0);
  const known = expected > 0;
  return {
    label,
    trials: members.length,
    observed,
    expected,
    ratio: known ? observed / expected : null,
    interval: known ? ratioInterval(chances, observed) : null,
  };
}

/**
 * Exact interval of observed over expected failures: the hazards of all trials are multiplied by one factor until the
 * observed number is the 10th, or the 90th, percentile of what such trials give (Poisson-binomial). The idea is that of
 * Clopper and Pearson, Biometrika 26 (1934), 404–413, which it equals where all chances are the same.
 */
export function ratioInterval(chances: Float64Array, observed: number, level = LEVEL): Range {
  const tail = (1 - level) / 2;
  const expected = chances.reduce((sum, p) => sum + p, 0);
  const logSound = chances.map((p) => Math.log1p(-p));
  const raised = (factor: number): Float64Array => logSound.map((log) => -Math.expm1(factor * log));
  const ratioAt = (factor: number): number => raised(factor).reduce((sum, p) => sum + p, 0) / expected;
  const noFewer = (factor: number): number => 1 - chanceOfAtMost(raised(factor), observed - 1);
  const noMore = (factor: number): number => chanceOfAtMost(raised(factor), observed);
  const near = Math.log((observed + 0.5) / expected);
  return {
    lower: observed === 0 ? 0 : ratioAt(factorWhere(near, (factor) => noFewer(factor) >= tail)),
    upper:
      observed === chances.length
        ? chances.length / expected
        : ratioAt(factorWhere(near, (factor) => noMore(factor) <= tail)),
  };
}

/** Where a condition that holds for large factors begins to hold: sought outwards from a log factor, within e^-30 and e^30. */
function factorWhere(nearLog: number, holds: (factor: number) => boolean): number {
  let [low, high] = [nearLog, nearLog];
  for (let step = 0.1; low > -30 && holds(Math.exp(low)); step *= 2) [low, high] = [low - step, low];
  for (let step = 0.1; high < 30 && !holds(Math.exp(high)); step *= 2) [low, high] = [high, high + step];
  while (high - low > 1e-6) {
    const middle = (low + high) / 2;
    if (holds(Math.exp(middle))) high = middle;
    else low = middle;
  }
  return Math.exp(high);
}
