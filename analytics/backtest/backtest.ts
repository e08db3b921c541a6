import { type CalibrationRow, calibrationByTenths, type GroupForecast, groupForecasts } from './calibration.ts';
import { type CellCoverage, cellCoverage, type LifeCoverage, lifeCoverage } from './coverage.ts';
import { predictivePass } from './predictive-pass.ts';
import { type Comparison, compareScores, type Scores, scoresOf } from './scores.ts';
import { type TrialGrid, trialGrid, wholeGrouping } from './trial-cells.ts';
import type { TrialForecast } from './trial-forecast.ts';
import type { Trials } from './trial-table.ts';
import { type Verdict, verdictOf } from './verdict.ts';

export interface BacktestOptions {
  /** Whole number; the same seed and input give the same report. */ readonly seed: number;
  /** Rising ends of the steps of time ahead. Left out: 2, 4 and 6 years. */ readonly horizonEdgesYears?: readonly number[];
}

/** How one method did. */
export interface MethodReport {
  readonly name: string;
  /** null where there are no trials, and so below. */ readonly scores: Scores | null;
  readonly tenths: readonly CalibrationRow[];
  readonly total: GroupForecast | null;
  readonly byCutoff: readonly GroupForecast[];
  readonly byClass: readonly GroupForecast[];
  readonly byDistrict: readonly GroupForecast[];
  readonly byZone: readonly GroupForecast[];
  /** Of its 80 % intervals, in cells of cut-off, district, class and time ahead. */ readonly cells: CellCoverage | null;
  /** Of its 80 % interval of each seal's failure. */ readonly lifeIntervals: readonly LifeCoverage[];
}

/** Plain data: finite numbers or null, the same bytes of JSON for the same input. */
export interface BacktestReport {
  readonly verdict: Verdict;
  readonly trials: number;
  readonly failures: number;
  readonly lives: number;
  readonly cutoffs: readonly string[];
  readonly model: MethodReport;
  /** The methods that it is judged beside. */ readonly others: readonly MethodReport[];
  /** The model against each of them, on the same trials. */ readonly comparisons: readonly Comparison[];
}

const DEFAULT_EDGES_YEARS = [2, 4, 6];

/**
 * Judges a model, and other methods beside it, by what inspections found after each cut-off.
 * @param model forecast with its draws, each method's chances for the same trials
 * @param onProgress called with the share of the model's draws done, 0 to 1
 * @throws RangeError when a forecast gives a chance outside 0 to 1
 */
export function backtest(
  trials: Trials,
  model: TrialForecast,
  others: readonly TrialForecast[],
  { seed, horizonEdgesYears = DEFAULT_EDGES_YEARS }: BacktestOptions,
  onProgress?: (shareDone: number) => void,
): BacktestReport {
  const grid = trialGrid(trials, horizonEdgesYears);
  const pass = predictivePass(trials, model, grid, seed, onProgress);
  const ofModel = reportOf(trials, model.name, pass, grid);
  const beside = others.map((other) => ({ name: other.name, pass: predictivePass(trials, other, grid, seed) }));
  const { total, byClass, byDistrict, byZone } = ofModel;
  return {
    verdict: verdictOf(total && { total, byClass, byDistrict, byZone }),
    trials: trials.count,
    failures: trials.failed.reduce((sum, failed) => sum + failed, 0),
    lives: pass.failedByLower.length,
    cutoffs: trials.labels.cutoffs,
    model: ofModel,
    others: beside.map((other) => reportOf(trials, other.name, other.pass, grid)),
    comparisons: beside.flatMap(
      (other) => compareScores(trials, pass.chance, { name: other.name, chance: other.pass.chance }, seed) ?? [],
    ),
  };
}

function reportOf(
  trials: Trials,
  name: string,
  pass: ReturnType<typeof predictivePass>,
  grid: TrialGrid,
): MethodReport {
  const { labels } = trials;
  const by = (names: readonly string[], of: Int32Array) => groupForecasts(trials, pass, grid, { labels: names, of });
  return {
    name,
    scores: scoresOf(trials, pass.chance),
    tenths: calibrationByTenths(trials, pass.chance),
    total: groupForecasts(trials, pass, grid, wholeGrouping(trials))[0] ?? null,
    byCutoff: by(labels.cutoffs, trials.cutoff),
    byClass: by(labels.classes, trials.sealantClass),
    byDistrict: by(labels.districts, trials.district),
    byZone: by(labels.zones, trials.climateZone),
    cells: trials.count > 0 ? cellCoverage(trials, pass, grid) : null,
    lifeIntervals: lifeCoverage(trials, pass),
  };
}
