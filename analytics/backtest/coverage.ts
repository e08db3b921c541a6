import { countOverDraws, LEVEL } from './calibration.ts';
import { countInterval } from './poisson-binomial.ts';
import type { PredictivePass } from './predictive-pass.ts';
import { crossGrouping, drawsOfGroups, type TrialGrid, type TrialGrouping } from './trial-cells.ts';
import type { Trials } from './trial-table.ts';

/**
 * How often 80 % intervals held. `share`: mean credit, 80 % where the forecast is calibrated. An outcome known only to lie
 * somewhere in a stretch of the forecast distribution (a count is a step of it, an inspection interval a span of it) earns
 * the share of that stretch that lies between the 10th and the 90th percentile: no outcome has to be guessed, and the
 * expected credit of a calibrated forecast is 80 % exactly. Source: randomised probability integral transform, averaged
 * (Czado, Gneiting and Held, Biometrics 65 (2009), 1254–1261).
 */
export interface Coverage {
  readonly label: string;
  /** Cells, or lives. */ readonly count: number;
  readonly share: number;
  /** Where 80 % of such shares lie, from the spread of credits. */ readonly lower: number;
  readonly upper: number;
  /** Share of outcomes that lie wholly inside the interval, its ends counted in. */ readonly wholly: number;
}

export interface LifeCoverage extends Coverage {
  /** Shares of lives that surely failed before, and surely outlasted, their interval. */ readonly early: number;
  readonly late: number;
  /** Lives whose failure was found; the others were sound at their last look. */ readonly failures: number;
}

const LOW = (1 - LEVEL) / 2;
const HIGH = (1 + LEVEL) / 2;
const Z80 = 1.2815515655446004;

/** Share of a stretch of the forecast distribution that lies between its 10th and 90th percentile. */
export function intervalCredit(fromShare: number, toShare: number): number {
  if (!(toShare > fromShare)) return Number(fromShare >= LOW && fromShare <= HIGH);
  return Math.max(0, Math.min(toShare, HIGH) - Math.max(fromShare, LOW)) / (toShare - fromShare);
}

export interface CellCoverage {
  readonly counts: readonly Coverage[];
  /** null for a forecast without draws. */ readonly lengths: readonly Coverage[] | null;
}

/** Coverage of the number and length found failed in each cell of cut-off, district, class and time ahead. */
export function cellCoverage(trials: Trials, pass: PredictivePass, grid: TrialGrid): CellCoverage {
  const grouping = crossGrouping(trials, [trials.cutoff, trials.district, trials.sealantClass, grid.horizon]);
  const horizonOf = new Int32Array(grouping.labels.length);
  grouping.of.forEach((group, i) => {
    horizonOf[group] = grid.horizon[i];
  });
  const found = foundIn(trials, grouping);
  const counts = countCredits(pass, grid, grouping, found);
  const lengths = pass.draws > 1 ? lengthCredits(pass, grid, grouping, found.lengthM) : null;
  const summary = (credits: readonly Credit[]): Coverage[] => [
    coverageOf('all', credits),
    ...grid.horizonLabels.flatMap((label, h) => {
      const part = credits.filter((_, g) => horizonOf[g] === h);
      return part.length > 0 ? [coverageOf(label, part)] : [];
    }),
  ];
  return { counts: summary(counts), lengths: lengths && summary(lengths) };
}

interface Credit {
  readonly credit: number;
  readonly wholly: boolean;
}

function foundIn({ count, failed, lengthM }: Trials, { labels, of }: TrialGrouping) {
  const found = { trials: new Float64Array(labels.length), failures: new Float64Array(labels.length) };
  const foundLengthM = new Float64Array(labels.length);
  for (let i = 0; i < count; i++) {
    found.trials[of[i]]++;
    found.failures[of[i]] += failed[i];
    foundLengthM[of[i]] += failed[i] * lengthM[i];
  }
  return { ...found, lengthM: foundLengthM };
}

function countCredits(
  pass: PredictivePass,
  grid: TrialGrid,
  grouping: TrialGrouping,
  found: { trials: Float64Array; failures: Float64Array },
): Credit[] {
  const means = drawsOfGroups(pass.expected, pass.draws, grid, grouping);
  const variances = drawsOfGroups(pass.variance, pass.draws, grid, grouping);
  return means.map((mean, g) => {
    const count = countOverDraws(mean, variances[g], 1, found.trials[g]);
    const k = found.failures[g];
    const { lower, upper } = countInterval(count, LEVEL);
    return { credit: intervalCredit(count.atMost(k - 1), count.atMost(k)), wholly: k >= lower && k <= upper };
  });
}

/** By rank among the simulated lengths: with S of them, the found one is equally likely to take each of S + 1 places. */
function lengthCredits(pass: PredictivePass, grid: TrialGrid, grouping: TrialGrouping, foundM: Float64Array): Credit[] {
  return drawsOfGroups(pass.simulatedLengthM, pass.draws, grid, grouping).map((simulated, g) => {
    const slack = 1e-9 * Math.max(1, foundM[g]);
    let [below, equal] = [0, 0];
    for (const length of simulated) {
      if (length < foundM[g] - slack) below++;
      else if (length <= foundM[g] + slack) equal++;
    }
    const from = below / (pass.draws + 1);
    const to = (below + equal + 1) / (pass.draws + 1);
    return { credit: intervalCredit(from, to), wholly: to > LOW && from < HIGH };
  });
}

/** Coverage of the interval of each life's failure, by its interval-censored outcome; all lives, then by class. */
export function lifeCoverage(trials: Trials, pass: PredictivePass): LifeCoverage[] {
  const classOf = new Int32Array(pass.failedByLower.length);
  const failedOf = new Uint8Array(pass.failedByLower.length);
  for (let i = 0; i < trials.count; i++) {
    classOf[trials.life[i]] = trials.sealantClass[i];
    failedOf[trials.life[i]] |= trials.failed[i];
  }
  const lives = [...classOf.keys()];
  const part = (label: string, members: readonly number[]): LifeCoverage[] =>
    members.length > 0 ? [lifePart(label, members, pass, failedOf)] : [];
  return [
    ...part('all', lives),
    ...trials.labels.classes.flatMap((label, c) =>
      part(
        label,
        lives.filter((life) => classOf[life] === c),
      ),
    ),
  ];
}

function lifePart(
  label: string,
  members: readonly number[],
  { failedByLower, failedByUpper }: PredictivePass,
  failedOf: Uint8Array,
): LifeCoverage {
  const credits = members.map((life) => ({
    credit: intervalCredit(failedByLower[life], failedByUpper[life]),
    wholly: failedByLower[life] >= LOW && failedByUpper[life] <= HIGH,
  }));
  const share = (holds: (life: number) => boolean): number => members.filter(holds).length / members.length;
  return {
    ...coverageOf(label, credits),
    early: share((life) => failedByUpper[life] < LOW),
    late: share((life) => failedByLower[life] > HIGH),
    failures: members.reduce((sum, life) => sum + failedOf[life], 0),
  };
}

function coverageOf(label: string, credits: readonly Credit[]): Coverage {
  const n = credits.length;
  const share = credits.reduce((sum, { credit }) => sum + credit, 0) / n;
  const variance = credits.reduce((sum, { credit }) => sum + (credit - share) ** 2, 0) / Math.max(1, n - 1);
  const reach = Z80 * Math.sqrt(variance / n);
  return {
    label,
    count: n,
    share,
    lower: Math.max(0, share - reach),
    upper: Math.min(1, share + reach),
    wholly: credits.filter(({ wholly }) => wholly).length / n,
  };
}
