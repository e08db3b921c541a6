import { type ChunkSums, chunkSumsOf } from '../numeric/chunk-sums.ts';
import type { Family } from './aft.ts';
import { DERIVATIVES, likelihoodChunks, sumLengthOf, VALUE } from './likelihood-chunks.ts';
import { type FamilyTerms, familyTerms } from './row-terms.ts';
import type { Design } from './standardise.ts';

/**
 * Log-likelihood of every kind of row, in delta = beta / sigma (length k = design.kept.length) and tau = 1 / sigma,
 * where z = tau y - x'delta. Without delayed entry it is concave in these (Burridge 1981, J. R. Statist. Soc. B 43).
 * With delayed entry a row counts given that it was sound at its entry age.
 */
export interface LogLikelihood {
  readonly value: (delta: Float64Array, tau: number) => number;
  /** Overwrites gradient (k + 1) and hessian ((k + 1) x (k + 1), row-major), tau last. */
  readonly derivatives: (delta: Float64Array, tau: number, gradient: Float64Array, hessian: Float64Array) => number;
}

export const logLikelihood = (design: Design, family: Family): LogLikelihood =>
  likelihoodOfTerms(design, familyTerms(family));

export const likelihoodOfTerms = (design: Design, terms: FamilyTerms): LogLikelihood =>
  likelihoodOfSums(design, chunkSumsOf(likelihoodChunks(design, terms)));

/** @param sums those of the chunks of `likelihoodChunks` of the same design, by whichever threads */
export function likelihoodOfSums(design: Design, sums: ChunkSums): LogLikelihood {
  const size = design.kept.length + 1;
  const stride = sumLengthOf(size);
  const point = new Float64Array(size);
  const sumsAt = (wanted: number, delta: Float64Array, tau: number): Float64Array => {
    point.set(delta);
    point[size - 1] = tau;
    return sums(wanted, point);
  };
  const totalOf = (all: Float64Array): number => {
    let total = design.constant;
    for (let at = 0; at < all.length; at += stride) total += all[at];
    return total;
  };

  return {
    value: (delta, tau) => totalOf(sumsAt(VALUE, delta, tau)),
    derivatives: (delta, tau, gradient, hessian) => {
      const all = sumsAt(DERIVATIVES, delta, tau);
      gradient.fill(0);
      hessian.fill(0);
      for (let at = 0; at < all.length; at += stride) {
        for (let j = 0; j < size; j++) {
          gradient[j] += all[at + 1 + j];
          for (let m = 0; m <= j; m++) hessian[j * size + m] += all[at + 1 + size + j * size + m];
        }
      }
      for (let j = 0; j < size; j++) for (let m = 0; m < j; m++) hessian[m * size + j] = hessian[j * size + m];
      return totalOf(all);
    },
  };
}
