import { type BacktestReport, backtest } from '../../../../analytics/backtest/backtest.ts';
import { type BacktestTrials, backtestTrials } from '../../../../analytics/backtest/backtest-trials.ts';
import { BASELINE_NAMES, baselineForecasts } from '../../../../analytics/backtest/baselines.ts';
import {
  type CutoffModel,
  meanChances,
  modelForecast,
  type TrialForecast,
} from '../../../../analytics/backtest/trial-forecast.ts';
import { readingModel } from '../../../../analytics/condition/condition.ts';
import { classPrior } from '../../../../analytics/survival/covariate-prior.ts';
import { designMatrix, learnDesign } from '../../../../analytics/survival/covariate-rows.ts';
import { FAILED_SHARE, GROWTH, READING_LOG_SD } from '../../../../data-demo/readings.ts';
import { TRUE_SIGMA } from '../../../../data-demo/true-model.ts';
import { AGES_ALONE_NAME, MODEL_NAME } from '../../../../server/evidence/backtest-evidence.ts';
import { judgedModel } from '../../../../server/evidence/fit-rows.ts';
import { pastModels } from '../../../../server/evidence/past-models.ts';
import type { DemoAgency } from '../../data-demo/demo-agency.ts';

export const DEMO_RULES = {
  failureThresholdShare: FAILED_SHARE,
  inspectionMethod: 'joint-length',
  today: '2026-07-01',
};
/** Windows that do not overlap: every look is forecast once, three years ahead at most. */
const CUTOFFS = { cutoffs: ['2014-01-01', '2017-01-01', '2020-01-01', '2023-01-01'], horizonYears: 3 };

export interface DemoPast {
  /** The model in use, fitted to what each cut-off knew. */ readonly report: BacktestReport;
  /** The model that made the lives and the readings, every parameter known. */ readonly truth: BacktestReport;
  /** Looks sorted by tenths of the chance that the model in use gave them; means of both models' chances. */
  readonly againstTruth: readonly { readonly looks: number; readonly forecast: number; readonly truth: number }[];
}

/** Past forecasts of the demo by the model that the server forecasts with, and by the true one. */
export function demoPast(agency: DemoAgency): DemoPast {
  const found = backtestTrials(agency.histories, DEMO_RULES, CUTOFFS);
  const { trials } = found;
  const { agesAlone, withShares } = refitted(agency, found);
  const simple = baselineForecasts(found, (name) => classPrior(name).medianYears).forecasts;
  const others = [modelForecast(AGES_ALONE_NAME, trials, agesAlone), ...simple];
  const [inUse, truth] = [withShares, trueModels(agency, found)].map((models) =>
    modelForecast(MODEL_NAME, trials, models),
  );
  const judge = (forecast: TrialForecast) => backtest(trials, forecast, others, { seed: 1 });
  return {
    report: judge(inUse),
    truth: judge(truth),
    againstTruth: tenthsOf(meanChances(trials, inUse), meanChances(trials, truth)),
  };
}

function tenthsOf(forecast: Float64Array, truth: Float64Array): DemoPast['againstTruth'] {
  const tenths = Array.from({ length: 10 }, () => ({ looks: 0, forecast: 0, truth: 0 }));
  forecast.forEach((chance, i) => {
    const tenth = tenths[Math.min(9, Math.floor(10 * chance))];
    tenth.looks++;
    tenth.forecast += chance;
    tenth.truth += truth[i];
  });
  return tenths.map(({ looks, ...sums }) => ({ looks, forecast: sums.forecast / looks, truth: sums.truth / looks }));
}

/** Gain of a report's model in log score over another method. */
export function gainOver(report: BacktestReport, against: string): number {
  const found = report.comparisons.find((row) => row.against === against);
  if (!found) throw new Error(`No comparison with ${against}`);
  return found.logScore.mean;
}

/** Skill over the class's own curve, as a share of what the true model reaches. */
export const skillShare = ({ report, truth }: DemoPast): number =>
  gainOver(report, BASELINE_NAMES.classCurve) / gainOver(truth, BASELINE_NAMES.classCurve);

/** One fit for each cut-off, to what was known then: by ages and damaged shares, and by ages alone. */
function refitted({ covariates }: DemoAgency, { knownBefore }: BacktestTrials) {
  const model = judgedModel({ family: 'weibull', design: learnDesign(covariates) }, covariates);
  const matrix = designMatrix(model.design, covariates);
  const inputs = { model, readsShares: true, matrix, failureThresholdShare: FAILED_SHARE };
  const { agesAlone, withShares } = pastModels(inputs, knownBefore);
  if (!withShares) throw new Error('Damaged shares were too few');
  return { agesAlone, withShares };
}

/** Lives and readings as they were made. Readings next to the threshold were held on their side of it. */
function trueModels({ truths }: DemoAgency, { knownBefore }: BacktestTrials): CutoffModel[] {
  const rows = Float64Array.from(truths, ({ characteristicLifeYears }) => Math.log(characteristicLifeYears));
  const one = (value: number) => Float64Array.of(value);
  return knownBefore.map(({ readings }) => ({
    family: 'weibull',
    rows,
    draws: { draws: 1, coefficients: one(1), scale: one(TRUE_SIGMA), effectiveSampleSize: 1, paretoK: 0 },
    shares: {
      readings,
      growth: { exponent: one(GROWTH), readingSd: one(READING_LOG_SD), inspectors: 0, inspectorShift: one(0) },
      reading: readingModel(FAILED_SHARE, { link: 'power', recordingStepShare: 0.001, thresholdBandShare: 0.005 }),
    },
  }));
}
