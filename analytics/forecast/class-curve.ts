import type { Family, PosteriorDraws } from '../survival/aft.ts';
import { type LifeCurve, segmentCurve } from './segment-curve.ts';

/**
 * Chance that an average seal of one class is still sound at each age, from its installation, with the band in which 80 % of
 * the draws' curves lie. `agesYears`: increasing, 0 or more; `row`: one covariate row, as in the fit.
 */
export const classCurve = (
  agesYears: ArrayLike<number>,
  row: ArrayLike<number>,
  draws: PosteriorDraws,
  family: Family,
): LifeCurve => segmentCurve({ row, soundAgeYears: 0, agesYears }, draws, family);
