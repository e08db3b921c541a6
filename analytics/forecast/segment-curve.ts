import type { Family, PosteriorDraws } from '../survival/aft.ts';
import { conditionalSurvivalInto, type LifeDraw, weighByEvidence } from './conditional-kernel.ts';
import { type DamageRule, damagePointer, damageWeightsInto } from './damage-rule.ts';
import { intervalOf } from './draw-table.ts';
import { effectUnder, type SharedEffects } from './shared-effects.ts';
import { survivalTable } from './standard-life.ts';

/** Survival at some ages: mean over the draws, with the 10th and 90th percentile of the curves themselves. */
export interface LifeCurve {
  readonly survival: Float64Array;
  readonly lower: Float64Array;
  readonly upper: Float64Array;
}

export interface SegmentCurveInput {
  /** One covariate row, as in the fit. */ readonly row: ArrayLike<number>;
  /** Age at the last look that found it sound; 0 where there was none. */ readonly soundAgeYears: number;
  /** Increasing ages at or above `soundAgeYears`. */ readonly agesYears: ArrayLike<number>;
  /** Effects of its district, facility and lot: those of one segment. */ readonly shared?: SharedEffects | null;
  /** Damage at the last sound look and the rule that reads it; left out: not used. */
  readonly damage?: { readonly share: number; readonly failureThresholdShare: number; readonly rule: DamageRule };
}

/**
 * Chance that one seal is still sound at each age, given that it was sound at `soundAgeYears`. The band is where 80 % of the
 * draws' curves lie: it shows how well the curve is known, not how long one seal may last.
 * @throws RangeError when ages decrease or begin before the sound age, or the row does not fit the draws
 */
export function segmentCurve(input: SegmentCurveInput, draws: PosteriorDraws, family: Family): LifeCurve {
  const { row, soundAgeYears } = input;
  const ages = Float64Array.from(input.agesYears);
  const width = draws.coefficients.length / draws.draws;
  if (row.length !== width) throw new RangeError(`row has ${row.length} entries; expected ${width}`);
  ages.forEach((age, j) => {
    const least = j === 0 ? soundAgeYears : ages[j - 1];
    if (!(age >= least)) throw new RangeError(`agesYears[${j}] is ${age}; expected at least ${least}`);
  });
  // With damage evidence the mass of later ages counts too, so the curve is worked out on past its own end.
  const grid = Float64Array.from([...ages, ...(input.damage ? agesAfter(ages.at(-1) ?? soundAgeYears) : [])]);
  const weights = evidenceWeights(input, grid);
  const curves = Array.from({ length: draws.draws }, () => new Float64Array(grid.length));
  const draw: LifeDraw = { eta: 0, perSigma: 1 };
  const logAges = grid.map(Math.log);
  curves.forEach((curve, d) => {
    draw.eta = input.shared ? effectUnder(input.shared, 0, d, draws.draws) : 0;
    for (let k = 0; k < width; k++) draw.eta += draws.coefficients[d * width + k] * row[k];
    draw.perSigma = 1 / draws.scale[d];
    conditionalSurvivalInto(curve, logAges, 0, grid.length, Math.log(soundAgeYears), draw, survivalTable(family));
    if (weights) weighByEvidence(curve, weights, 0, grid.length);
  });
  return summarise(curves, ages.length);
}

function agesAfter(last: number): number[] {
  return Array.from({ length: 24 }, (_, i) => last + 1.2 ** (i + 1) * 2);
}

function evidenceWeights({ soundAgeYears, damage }: SegmentCurveInput, grid: Float64Array): Float64Array | null {
  if (!damage || !(soundAgeYears > 0) || !(damage.share > 0 && damage.share < damage.failureThresholdShare))
    return null;
  const weights = new Float64Array(grid.length + 1);
  const pointer = damagePointer(soundAgeYears, damage.share, damage.failureThresholdShare, damage.rule);
  damageWeightsInto(weights, grid, 0, grid.length, soundAgeYears, pointer, damage.rule.logSd);
  return weights;
}

function summarise(curves: readonly Float64Array[], length: number): LifeCurve {
  const survival = new Float64Array(length);
  const lower = new Float64Array(length);
  const upper = new Float64Array(length);
  for (let j = 0; j < length; j++) {
    const column = Float64Array.from(curves, (curve) => Math.min(1, curve[j]));
    survival[j] = column.reduce((sum, value) => sum + value, 0) / curves.length;
    ({ lower: lower[j], upper: upper[j] } = intervalOf(column));
  }
  return { survival, lower, upper };
}
