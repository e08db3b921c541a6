import type { Family, PosteriorDraws } from '../survival/aft.ts';
import { standardCumulativeHazard } from '../survival/families.ts';
import type { Trials } from './trial-table.ts';

/** A way of forecasting trials: the chance that each look finds the seal failed, one set for each draw. */
export interface TrialForecast {
  readonly name: string;
  /** 1 where the method has one answer and no draws. */ readonly draws: number;
  /** Writes the chances of all trials under one draw, 0 to 1. */
  readonly chancesInto: (draw: number, out: Float64Array) => void;
}

/** A method with one answer. `chances`: one for each trial, 0 to 1. */
export const fixedForecast = (name: string, chances: Float64Array): TrialForecast => ({
  name,
  draws: 1,
  chancesInto: (_draw, out) => out.set(chances),
});

/** Predictive chance of each of `count` trials: the mean over draws. */
export function meanChances({ draws, chancesInto }: TrialForecast, count: number): Float64Array {
  const sum = new Float64Array(count);
  const each = new Float64Array(count);
  for (let d = 0; d < draws; d++) {
    chancesInto(d, each);
    for (let i = 0; i < count; i++) sum[i] += each[i];
  }
  return sum.map((total) => total / draws);
}

/** A model fitted to what was known on one cut-off date. */
export interface CutoffModel {
  readonly family: Family;
  readonly draws: PosteriorDraws;
  /** Row-major, seals x coefficients, for every seal of the histories in their order. */ readonly rows: Float64Array;
}

/**
 * The model's chances: 1 - S(look) / S(start) under each draw of the fit of the trial's own cut-off.
 * The cumulative hazard at the end of one trial is that at the start of the next of the same life, so it is found once.
 * @throws RangeError when a cut-off has no model or the models differ in their number of draws
 */
export function modelForecast(name: string, trials: Trials, models: readonly CutoffModel[]): TrialForecast {
  const cutoffs = trials.labels.cutoffs.length;
  if (models.length !== cutoffs) throw new RangeError(`${models.length} models given; expected ${cutoffs}`);
  const draws = models[0].draws.draws;
  for (const model of models)
    if (model.draws.draws !== draws)
      throw new RangeError(`A model has ${model.draws.draws} draws and another ${draws}; expected the same`);
  const logFrom = trials.fromYears.map(Math.log);
  const logLook = trials.lookYears.map(Math.log);
  const pairs = sealsOfCutoffs(trials);
  const etas = new Float64Array(pairs.count);
  const chancesInto = (draw: number, out: Float64Array): void => {
    predictorsInto(etas, pairs, models, draw);
    let atEnd = 0;
    for (let i = 0; i < trials.count; i++) {
      const { family, draws: fitted } = models[trials.cutoff[i]];
      const perSigma = 1 / fitted.scale[draw];
      const eta = etas[pairs.of[i]];
      const follows = i > 0 && trials.life[i] === trials.life[i - 1];
      const atStart = follows ? atEnd : hazardAt(family, (logFrom[i] - eta) * perSigma);
      atEnd = hazardAt(family, (logLook[i] - eta) * perSigma);
      out[i] = failingWithin(atEnd - atStart);
    }
  };
  return { name, draws, chancesInto };
}

/** 1 - exp(-hazard): twice as fast as expm1, and as good to eleven digits. */
function failingWithin(hazard: number): number {
  if (hazard > 1e-5) return 1 - Math.exp(-hazard);
  // Infinity less Infinity: both ends lie beyond every life.
  return hazard >= 0 ? hazard - 0.5 * hazard * hazard : 1;
}

const hazardAt = (family: Family, z: number): number =>
  family === 'weibull' || family === 'exponential' ? Math.exp(z) : standardCumulativeHazard(family, z);

interface SealPairs {
  readonly count: number;
  /** Pair of each trial. */ readonly of: Int32Array;
  readonly seal: Int32Array;
  readonly cutoff: Int32Array;
}

/** The pairs of seal and cut-off that have trials, so that each linear predictor is worked out once. */
function sealsOfCutoffs({ count, life, seal, cutoff }: Trials): SealPairs {
  const pairs = { of: new Int32Array(count), seal: [] as number[], cutoff: [] as number[] };
  for (let i = 0; i < count; i++) {
    if (i === 0 || life[i] !== life[i - 1]) {
      pairs.seal.push(seal[i]);
      pairs.cutoff.push(cutoff[i]);
    }
    pairs.of[i] = pairs.seal.length - 1;
  }
  return {
    count: pairs.seal.length,
    of: pairs.of,
    seal: Int32Array.from(pairs.seal),
    cutoff: Int32Array.from(pairs.cutoff),
  };
}

function predictorsInto(out: Float64Array, pairs: SealPairs, models: readonly CutoffModel[], draw: number): void {
  for (let k = 0; k < pairs.count; k++) {
    const { draws, rows } = models[pairs.cutoff[k]];
    const width = draws.coefficients.length / draws.draws;
    const row = pairs.seal[k] * width;
    let eta = 0;
    for (let j = 0; j < width; j++) eta += draws.coefficients[draw * width + j] * rows[row + j];
    out[k] = eta;
  }
}
