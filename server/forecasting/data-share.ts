import type { PosteriorDraws } from '../../analytics/survival/aft.ts';

/** Draws of one coefficient. */
export function coefficientDraws({ coefficients, draws }: PosteriorDraws, index: number): Float64Array {
  const width = coefficients.length / draws;
  return Float64Array.from({ length: draws }, (_, d) => coefficients[d * width + index]);
}

/**
 * How much of a class's life is known from records rather than from the prior: the share of the prior's variance of the
 * log median that the records took away. 0: all prior; 1: all data.
 */
export function dataShare(draws: PosteriorDraws, classIndex: number, priorLogSd: number): number {
  const values = coefficientDraws(draws, classIndex);
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  const variance = values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / values.length;
  return Math.min(1, Math.max(0, 1 - variance / priorLogSd ** 2));
}
