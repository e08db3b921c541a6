import { choleskyInPlace, choleskySolveInPlace } from '../numeric/cholesky.ts';
import type { AftFit } from '../survival/aft.ts';
import type { Design } from '../survival/standardise.ts';
import type { ConditionPrior } from './condition.ts';
import type { ThetaPlaces } from './row-sums.ts';

/** Life as the threshold fit has it, growth at its prior means, inspectors alike. */
export function startValues(
  design: Design,
  places: ThetaPlaces,
  threshold: AftFit,
  prior: ConditionPrior,
): Float64Array {
  const theta = new Float64Array(places.size);
  theta.set(standardisedCoefficients(design, threshold.coefficients));
  if (places.logSigma >= 0) theta[places.logSigma] = Math.log(threshold.scale);
  theta[places.logExponent] = prior.logExponentMean;
  theta[places.logReadingSd] = prior.logReadingSdMean;
  return theta;
}

/** Least-squares inverse of `originalCoefficients`, with rows scaled so that units do not matter. */
export function standardisedCoefficients(design: Design, coefficients: Float64Array): Float64Array {
  const width = design.kept.length;
  const products = new Float64Array(width * width);
  const right = new Float64Array(width);
  for (let j = 0; j < design.names.length; j++) {
    const row = design.back.subarray(j * width, (j + 1) * width);
    const length = row.reduce((sum, value) => Math.max(sum, Math.abs(value)), 0);
    if (length === 0) continue;
    for (let k = 0; k < width; k++) {
      right[k] += (row[k] * (coefficients[j] - design.shift[j])) / length ** 2;
      for (let m = 0; m < width; m++) products[k * width + m] += (row[k] * row[m]) / length ** 2;
    }
  }
  if (choleskyInPlace(products, width)) choleskySolveInPlace(products, width, right);
  return right;
}
