import { type BacktestTrials, backtestTrials } from '../../../../analytics/backtest/backtest-trials.ts';
import type { CutoffModel } from '../../../../analytics/backtest/trial-forecast.ts';
import type { AftData } from '../../../../analytics/survival/aft.ts';
import { aftPrior } from '../../../../analytics/survival/covariate-prior.ts';
import { designMatrix, learnDesign } from '../../../../analytics/survival/covariate-rows.ts';
import { fitAft } from '../../../../analytics/survival/fit-aft.ts';
import { posteriorDraws } from '../../../../analytics/survival/posterior.ts';
import { TRUE_SIGMA } from '../../../../data-demo/true-model.ts';
import type { DemoAgency } from './demo-histories.ts';

export const DEMO_RULES = { failureThresholdShare: 0.1, inspectionMethod: 'joint-length', today: '2026-07-01' };
const DRAWS = 200;

export const demoTrials = ({ histories }: DemoAgency, cutoffs: readonly string[], horizonYears: number) =>
  backtestTrials(histories, DEMO_RULES, { cutoffs, horizonYears });

/** One fit for each cut-off, to what was known then. */
export function demoModels({ covariates }: DemoAgency, { knownBefore }: BacktestTrials): CutoffModel[] {
  const design = learnDesign(covariates);
  const rows = designMatrix(design, covariates);
  const prior = aftPrior('weibull', design);
  const width = design.names.length;
  return knownBefore.map(({ rows: known }) => {
    const picked = new Float64Array(known.seal.length * width);
    known.seal.forEach((seal, i) => {
      picked.set(rows.subarray(seal * width, (seal + 1) * width), i * width);
    });
    const data: AftData = {
      entry: known.entryYears,
      lower: known.lowerYears,
      upper: known.upperYears,
      weight: new Float64Array(known.seal.length).fill(1),
      covariates: picked,
      names: design.names,
      intercept: false,
    };
    const fit = fitAft(data, { family: 'weibull', prior });
    return { family: 'weibull', draws: posteriorDraws(data, fit, prior, { draws: DRAWS, seed: 1 }), rows };
  });
}

/** The model that made the lives, with every covariate known, for each cut-off. */
export const trueModels = ({ trueLifeYears }: DemoAgency, { knownBefore }: BacktestTrials): CutoffModel[] =>
  knownBefore.map(() => ({
    family: 'weibull',
    rows: trueLifeYears.map(Math.log),
    draws: {
      draws: 1,
      coefficients: Float64Array.of(1),
      scale: Float64Array.of(TRUE_SIGMA),
      effectiveSampleSize: 1,
      paretoK: 0,
    },
  }));
