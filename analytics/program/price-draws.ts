import normalQuantile from '@stdlib/stats-base-dists-normal-quantile';
import { keyedSequence, keyedUniform } from '../numeric/keyed-uniform.ts';

/** Assumed, not published: log SD of a year's prices of a class about the price list, 10 %. */
export const DEFAULT_PRICE_LOG_SD = 0.1;

/**
 * Factors on the price list, shared by all work of one class in one year: log-normal with median 1. Over the draws they lie at
 * even quantiles in an order of chance, so that the median price is the listed one however few the draws.
 * @param kind index of the class; one number more for mobilisation
 * @returns one entry for each draw
 */
export function priceFactors(draws: number, seed: number, kind: number, year: number, logSd: number): Float64Array {
  const sequence = keyedSequence(seed, kind, 1000 + year);
  const luck = Float64Array.from({ length: draws }, (_, d) => keyedUniform(sequence, d));
  const order = Int32Array.from(luck.keys()).sort((a, b) => luck[a] - luck[b] || a - b);
  const factors = new Float64Array(draws);
  order.forEach((d, rank) => {
    factors[d] = Math.exp(logSd * normalQuantile((rank + 0.5) / draws, 0, 1));
  });
  return factors;
}
