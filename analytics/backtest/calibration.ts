import erfc from '@stdlib/math-base-special-erfc';
import { type CountDistribution, countInterval, matchedCount, mixture, poissonBinomial } from './poisson-binomial.ts';
import type { PredictivePass } from './predictive-pass.ts';
import { drawsOfGroups, type TrialGrid, type TrialGrouping } from './trial-cells.ts';
import type { Trials } from './trial-table.ts';

export interface Range {
  readonly lower: number;
  readonly upper: number;
}

/** Forecast against found for one group of trials. Shares are of trials, or of length. */
export interface CalibrationRow {
  readonly label: string;
  readonly trials: number;
  readonly found: number;
  readonly expected: number;
  readonly foundShare: number;
  readonly forecastShare: number;
  /** Where the found share lies with 80 % if every chance is right: chance alone, exact Poisson-binomial. */
  readonly chanceRange: Range;
  readonly lengthM: number;
  readonly foundLengthM: number;
  readonly expectedLengthM: number;
  /** Share of length found failed, and where it lies with 80 % if every chance is right (normal). */
  readonly foundLengthShare: number;
  readonly forecastLengthShare: number;
  readonly lengthChanceRange: Range;
}

/** The same with the uncertainty of the parameters in it: what a budget would have been told. */
export interface GroupForecast extends CalibrationRow {
  /** Number found failed, with 80 % and with 95 %. */ readonly within80: Range;
  readonly within95: Range;
  /** Length found failed, with 80 %, m. */ readonly lengthWithin80M: Range;
}

export const LEVEL = 0.8;
const TENTHS = 10;

/** Trials sorted by tenths of their forecast chance: 0 to 0.1, 0.1 to 0.2 and so on; tenths without trials left out. */
export function calibrationByTenths(trials: Trials, chance: Float64Array): CalibrationRow[] {
  const of = Int32Array.from(chance, (p) => Math.min(TENTHS - 1, Math.floor(p * TENTHS + 1e-12)));
  const labels = Array.from({ length: TENTHS }, (_, k) => `${k / TENTHS} to ${(k + 1) / TENTHS}`);
  return calibrationRows(trials, chance, { labels, of });
}

/** One row for each group that has trials, in order of the labels. */
export function calibrationRows(trials: Trials, chance: Float64Array, grouping: TrialGrouping): CalibrationRow[] {
  const places = lookPlaces(trials);
  return membersOf(grouping).flatMap((members, g) =>
    members.length === 0 ? [] : [calibrationRow(grouping.labels[g], looksOf(members, trials, chance, places))],
  );
}

function membersOf({ labels, of }: TrialGrouping): number[][] {
  const members: number[][] = labels.map(() => []);
  of.forEach((group, i) => {
    members[group].push(i);
  });
  return members;
}

function calibrationRow(label: string, looks: LooksOfGroup): CalibrationRow {
  const count = poissonBinomial(looks.chance, looks.times);
  const { lower, upper } = countInterval(count, LEVEL);
  const { trials: n, found, lengthM, foundLengthM, expectedLengthM } = looks;
  const reach = Z80 * Math.sqrt(looks.lengthVarianceM2);
  return {
    label,
    trials: n,
    found,
    expected: count.mean,
    foundShare: found / n,
    forecastShare: count.mean / n,
    chanceRange: { lower: lower / n, upper: upper / n },
    lengthM,
    foundLengthM,
    expectedLengthM,
    foundLengthShare: foundLengthM / lengthM,
    forecastLengthShare: expectedLengthM / lengthM,
    lengthChanceRange: {
      lower: Math.max(0, (expectedLengthM - reach) / lengthM),
      upper: Math.min(1, (expectedLengthM + reach) / lengthM),
    },
  };
}

/** Half-width of the central 80 % of a normal distribution, in standard deviations. */
const Z80 = 1.2815515655446004;

interface LooksOfGroup {
  /** One for each look: mean chance, and number of trials. */ readonly chance: Float64Array;
  readonly times: Int32Array;
  readonly trials: number;
  readonly found: number;
  readonly lengthM: number;
  readonly foundLengthM: number;
  readonly expectedLengthM: number;
  readonly lengthVarianceM2: number;
}

/** Place of each look among those of one group; -1 between uses. */
const lookPlaces = ({ look }: Trials): Int32Array =>
  new Int32Array(look.reduce((largest, value) => Math.max(largest, value), -1) + 1).fill(-1);

/**
 * Trials of several cut-offs that end with one look are one event told several times: they fail together, so that look
 * counts as often as it has trials. Treating them as independent would make intervals too narrow.
 */
function looksOf(members: readonly number[], trials: Trials, chance: Float64Array, places: Int32Array): LooksOfGroup {
  const { look, lengthM, failed } = trials;
  const means = new Float64Array(members.length);
  const times = new Int32Array(members.length);
  const lengths = new Float64Array(members.length);
  let looks = 0;
  let [found, allM, foundM, expectedM] = [0, 0, 0, 0];
  for (const i of members) {
    if (places[look[i]] < 0) places[look[i]] = looks++;
    const place = places[look[i]];
    means[place] += chance[i];
    times[place]++;
    lengths[place] += lengthM[i];
    found += failed[i];
    allM += lengthM[i];
    foundM += failed[i] * lengthM[i];
    expectedM += chance[i] * lengthM[i];
  }
  for (const i of members) places[look[i]] = -1;
  let variance = 0;
  for (let k = 0; k < looks; k++) {
    means[k] /= times[k];
    variance += lengths[k] ** 2 * means[k] * (1 - means[k]);
  }
  return {
    chance: means.subarray(0, looks),
    times: times.subarray(0, looks),
    trials: members.length,
    found,
    lengthM: allM,
    foundLengthM: foundM,
    expectedLengthM: expectedM,
    lengthVarianceM2: variance,
  };
}

/** Forecasts of groups with the uncertainty of the parameters: one draw holds for all trials at once. */
export function groupForecasts(
  trials: Trials,
  pass: PredictivePass,
  grid: TrialGrid,
  grouping: TrialGrouping,
): GroupForecast[] {
  const draws = (values: Float64Array) => drawsOfGroups(values, pass.draws, grid, grouping);
  const means = draws(pass.expected);
  const variances = draws(pass.variance);
  const lengthMeans = draws(pass.expectedLengthM);
  const lengthVariances = draws(pass.lengthVarianceM2);
  const places = lookPlaces(trials);
  return membersOf(grouping).flatMap((members, g) => {
    if (members.length === 0) return [];
    const looks = looksOf(members, trials, pass.chance, places);
    const row = calibrationRow(grouping.labels[g], looks);
    const repeats = repetition(looks);
    const count = countOverDraws(means[g], variances[g], repeats, members.length);
    return [
      {
        ...row,
        within80: countInterval(count, LEVEL),
        within95: countInterval(count, 0.95),
        lengthWithin80M: lengthRange(lengthMeans[g], lengthVariances[g], repeats, row.lengthM),
      },
    ];
  });
}

/** By how much looks that belong to several trials widen the variance of a sum: mean number of trials of a trial's look. */
const repetition = ({ times, trials }: LooksOfGroup): number =>
  times.reduce((squares, m) => squares + m * m, 0) / trials;

export const countOverDraws = (
  means: Float64Array,
  variances: Float64Array,
  repeats: number,
  most: number,
): CountDistribution => mixture(Array.from(means, (mean, d) => matchedCount(mean, variances[d] * repeats, most)));

/** Central 80 % of a mixture of normals, within 0 and the whole length. */
function lengthRange(means: Float64Array, variances: Float64Array, repeats: number, lengthM: number): Range {
  const below = (x: number): number =>
    means.reduce((sum, mean, d) => sum + normalBelow(x - mean, Math.sqrt(variances[d] * repeats)), 0) / means.length;
  const at = (share: number): number => {
    let [low, high] = [0, lengthM];
    for (let step = 0; step < 50; step++) {
      const middle = (low + high) / 2;
      if (below(middle) < share) low = middle;
      else high = middle;
    }
    return (low + high) / 2;
  };
  return { lower: at((1 - LEVEL) / 2), upper: at((1 + LEVEL) / 2) };
}

const normalBelow = (departure: number, sd: number): number =>
  sd > 0 ? 0.5 * erfc((-departure / sd) * Math.SQRT1_2) : Number(departure >= 0);
