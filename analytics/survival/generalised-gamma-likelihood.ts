import { generalisedGammaTerms } from './generalised-gamma-terms.ts';
import type { LogLikelihood } from './log-likelihood.ts';
import { newRowScore, rowScores } from './row-scores.ts';
import type { Design } from './standardise.ts';

/** The log-likelihood at a given Q, in the same delta and tau as that of the other families; concave without entry. */
export function generalisedGammaLikelihood(design: Design, q: number): LogLikelihood {
  const { columns, patternStart, weight } = design;
  const width = design.kept.length;
  const size = width + 1;
  const score = rowScores(design, generalisedGammaTerms(q));
  const row = newRowScore();
  const sums = newRowScore();

  const predictorOf = (k: number, delta: Float64Array): number => {
    let eta = 0;
    for (let j = 0; j < width; j++) eta += columns[k * width + j] * delta[j];
    return eta;
  };
  const sumPattern = (k: number, eta: number, tau: number): void => {
    sums.fill(0);
    for (let i = patternStart[k]; i < patternStart[k + 1]; i++) {
      score(i, eta, tau, row);
      for (let m = 0; m < 6; m++) sums[m] += weight[i] * row[m];
    }
  };

  const derivatives: LogLikelihood['derivatives'] = (delta, tau, gradient, hessian) => {
    gradient.fill(0);
    hessian.fill(0);
    let total = design.constant;
    for (let k = 0; k + 1 < patternStart.length; k++) {
      sumPattern(k, predictorOf(k, delta), tau);
      total += sums[0];
      for (let j = 0; j < width; j++) {
        const x = columns[k * width + j];
        if (x === 0) continue;
        gradient[j] += sums[1] * x;
        hessian[width * size + j] += sums[4] * x;
        for (let m = 0; m <= j; m++) hessian[j * size + m] += sums[3] * x * columns[k * width + m];
      }
      gradient[width] += sums[2];
      hessian[width * size + width] += sums[5];
    }
    for (let j = 0; j < size; j++) for (let m = 0; m < j; m++) hessian[m * size + j] = hessian[j * size + m];
    return total;
  };

  const value: LogLikelihood['value'] = (delta, tau) => {
    let total = design.constant;
    for (let k = 0; k + 1 < patternStart.length; k++) {
      sumPattern(k, predictorOf(k, delta), tau);
      total += sums[0];
    }
    return total;
  };
  return { value, derivatives };
}
