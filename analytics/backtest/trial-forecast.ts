import type { Family, PosteriorDraws } from '../survival/aft.ts';
import { standardCumulativeHazard } from '../survival/families.ts';
import { type LifeShares, ReadLives } from './read-lives.ts';
import type { LifeTrials, Trials } from './trial-table.ts';

/** A way of forecasting trials: the chance that each look finds the seal failed, one set for each draw. */
export interface TrialForecast {
  readonly name: string;
  /** 1 where the method has one answer and no draws. */ readonly draws: number;
  /** Writes the chances of the trials of one life, 0 to 1: row-major, draws x trials. */
  readonly chancesInto: (life: LifeTrials, out: Float64Array) => void;
}

/** A method with one answer. `chances`: one for each trial, 0 to 1. */
export const fixedForecast = (name: string, chances: Float64Array): TrialForecast => ({
  name,
  draws: 1,
  chancesInto: ({ first, end }, out) => out.set(chances.subarray(first, end)),
});

/** Goes through the lives in order. `chances`: row-major, draws x trials of the life; the next life overwrites it. */
export function eachLife(
  trials: Trials,
  forecast: TrialForecast,
  visit: (life: LifeTrials, chances: Float64Array) => void,
): void {
  const { count, life } = trials;
  let chances = new Float64Array(16 * forecast.draws);
  for (let first = 0; first < count; ) {
    let end = first + 1;
    while (end < count && life[end] === life[first]) end++;
    const size = (end - first) * forecast.draws;
    if (size > chances.length) chances = new Float64Array(size);
    forecast.chancesInto({ first, end }, chances);
    visit({ first, end }, chances.subarray(0, size));
    first = end;
  }
}

/** Predictive chance of each trial: the mean over draws. */
export function meanChances(trials: Trials, forecast: TrialForecast): Float64Array {
  const mean = new Float64Array(trials.count);
  eachLife(trials, forecast, ({ first, end }, chances) => {
    const size = end - first;
    for (let k = 0; k < chances.length; k++) mean[first + (k % size)] += chances[k] / forecast.draws;
  });
  return mean;
}

/** A model fitted to what was known on one cut-off date. */
export interface CutoffModel {
  readonly family: Family;
  readonly draws: PosteriorDraws;
  /** Row-major, seals x coefficients, for every seal of the histories in their order. */ readonly rows: Float64Array;
  /** Damaged shares known by then and how they grow; left out or null: the model knows of soundness and failure alone. */
  readonly shares?: LifeShares | null;
}

/**
 * The model's chances: 1 - S(look) / S(start) under each draw of the fit of the trial's own cut-off, S given the damaged
 * shares that had been read by the cut-off where the model knows of them.
 * @throws RangeError when a cut-off has no model or the models differ in their number of draws
 */
export function modelForecast(name: string, trials: Trials, models: readonly CutoffModel[]): TrialForecast {
  const cutoffs = trials.labels.cutoffs.length;
  if (models.length !== cutoffs) throw new RangeError(`${models.length} models given; expected ${cutoffs}`);
  const draws = models[0].draws.draws;
  for (const model of models)
    if (model.draws.draws !== draws)
      throw new RangeError(`A model has ${model.draws.draws} draws and another ${draws}; expected the same`);
  const read = models.map(({ shares, ...model }) => (shares ? new ReadLives(trials, model, shares) : null));
  const chancesInto = (life: LifeTrials, out: Float64Array): void => {
    const cutoff = trials.cutoff[life.first];
    const known = read[cutoff];
    if (known?.isRead(life)) known.chancesInto(life, out);
    else unreadChancesInto(out, trials, life, models[cutoff]);
  };
  return { name, draws, chancesInto };
}

/** The cumulative hazard at the end of one trial is that at the start of the next of the same life, so it is found once. */
function unreadChancesInto(
  out: Float64Array,
  { seal, fromYears, lookYears }: Trials,
  { first, end }: LifeTrials,
  { family, draws, rows }: CutoffModel,
): void {
  const width = draws.coefficients.length / draws.draws;
  const row = seal[first] * width;
  const logAges = Float64Array.from({ length: end - first + 1 }, (_, k) =>
    Math.log(k === 0 ? fromYears[first] : lookYears[first + k - 1]),
  );
  let next = 0;
  for (let d = 0; d < draws.draws; d++) {
    let eta = 0;
    for (let j = 0; j < width; j++) eta += draws.coefficients[d * width + j] * rows[row + j];
    const perSigma = 1 / draws.scale[d];
    let atStart = hazardAt(family, (logAges[0] - eta) * perSigma);
    for (let k = 1; k < logAges.length; k++) {
      const atEnd = hazardAt(family, (logAges[k] - eta) * perSigma);
      out[next++] = failingWithin(atEnd - atStart);
      atStart = atEnd;
    }
  }
}

/** 1 - exp(-hazard): twice as fast as expm1, and as good to eleven digits. */
function failingWithin(hazard: number): number {
  if (hazard > 1e-5) return 1 - Math.exp(-hazard);
  // Infinity less Infinity: both ends lie beyond every life.
  return hazard >= 0 ? hazard - 0.5 * hazard * hazard : 1;
}

const hazardAt = (family: Family, z: number): number =>
  family === 'weibull' || family === 'exponential' ? Math.exp(z) : standardCumulativeHazard(family, z);
