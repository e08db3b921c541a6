import type { Family, PosteriorDraws } from '../survival/aft.ts';
import { conditionalSurvivalInto } from './conditional-kernel.ts';
import { survivalTable } from './standard-life.ts';

/** Chance that a new seal has failed by each whole age, averaged over draws, for groups of like segments. */
export interface NewLives {
  /** Each segment's curve. */ readonly curve: Int32Array;
  /** Row-major, curves x (oldestAge + 1). */ readonly failedByAge: Float64Array;
  readonly oldestAge: number;
}

/** Segments share a curve when mean and SD of their log life agree this closely: 2 % of life. */
const MEAN_STEP = 0.02;
const SD_STEP = 0.05;

/**
 * Life after resealing like with like, for every segment of a network. The curve of the first segment of a group stands for
 * all of it, so 100,000 segments need a few hundred curves.
 * `covariates`: row-major, count x coefficients, as in the fit.
 */
export function newLives(covariates: Float64Array, draws: PosteriorDraws, family: Family, oldestAge = 60): NewLives {
  const width = draws.coefficients.length / draws.draws;
  const count = covariates.length / width;
  const curve = new Int32Array(count);
  const groups = new Map<string, number>();
  const curves: Float64Array[] = [];
  const etas = new Float64Array(draws.draws);
  for (let i = 0; i < count; i++) {
    let [sum, squares] = [0, 0];
    for (let d = 0; d < etas.length; d++) {
      let eta = 0;
      for (let k = 0; k < width; k++) eta += draws.coefficients[d * width + k] * covariates[i * width + k];
      etas[d] = eta;
      sum += eta;
      squares += eta * eta;
    }
    const mean = sum / etas.length;
    const sd = Math.sqrt(Math.max(0, squares / etas.length - mean * mean));
    const key = `${Math.round(mean / MEAN_STEP)}/${Math.round(sd / SD_STEP)}`;
    let group = groups.get(key);
    if (group === undefined) {
      group = curves.push(failedCurve(etas, draws.scale, family, oldestAge)) - 1;
      groups.set(key, group);
    }
    curve[i] = group;
  }
  const failedByAge = new Float64Array(curves.length * (oldestAge + 1));
  curves.forEach((values, c) => {
    failedByAge.set(values, c * (oldestAge + 1));
  });
  return { curve, failedByAge, oldestAge };
}

function failedCurve(etas: Float64Array, scale: Float64Array, family: Family, oldestAge: number): Float64Array {
  const logAges = Float64Array.from({ length: oldestAge + 1 }, (_, age) => Math.log(age));
  const each = new Float64Array(oldestAge + 1);
  const failed = new Float64Array(oldestAge + 1);
  const table = survivalTable(family);
  etas.forEach((eta, d) => {
    const draw = { eta, perSigma: 1 / scale[d] };
    conditionalSurvivalInto(each, logAges, 0, each.length, Number.NEGATIVE_INFINITY, draw, table);
    for (let age = 0; age <= oldestAge; age++) failed[age] += (1 - each[age]) / etas.length;
  });
  return failed;
}
