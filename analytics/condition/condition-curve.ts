import { intervalOf } from '../forecast/draw-table.ts';
import type { LifeCurve } from '../forecast/segment-curve.ts';
import type { SharedEffects } from '../forecast/shared-effects.ts';
import type { Family } from '../survival/aft.ts';
import { checkReadings } from './check-condition-data.ts';
import type { ConditionDraws, GrowthDraws, ShareReadings } from './condition.ts';
import { ConditionKernel, MOST_POINTS } from './condition-kernel.ts';
import { prepareReadings } from './prepared-readings.ts';
import { survivalAtLogAge, survivalInto } from './survival-on-grid.ts';

export interface ConditionCurveInput {
  /** One covariate row, as in the fit. */ readonly row: ArrayLike<number>;
  /** Age at the last look that found it sound; 0 where there was none. */ readonly soundAgeYears: number;
  /** Increasing ages at or above `soundAgeYears`. */ readonly agesYears: ArrayLike<number>;
  /** Effects of its district, facility and lot: those of one segment. */ readonly shared?: SharedEffects | null;
  /** Every share read on the seal, at least one of them after age 0: one row. */ readonly readings: ShareReadings;
}

/**
 * Chance that one seal is still sound at each age, given all of its readings and soundness at `soundAgeYears`: the curve
 * of which `forecastCondition` gives the values at year ends. The band is where 80 % of the draws' curves lie.
 * @throws RangeError when the row does not fit the draws or there is no reading after age 0
 */
export function conditionCurve(
  { row, soundAgeYears, agesYears, readings, shared }: ConditionCurveInput,
  draws: ConditionDraws & { readonly growth: GrowthDraws },
  family: Family,
): LifeCurve {
  const width = draws.coefficients.length / draws.draws;
  if (row.length !== width) throw new RangeError(`row has ${row.length} entries; expected ${width}`);
  checkReadings(readings, 1);
  const prepared = prepareReadings(readings, draws.reading);
  if (prepared.start[1] === 0) throw new RangeError('There is no reading after age 0; expected one or more');
  const kernel = new ConditionKernel(
    { covariates: Float64Array.from(row), readings: prepared, shared },
    draws,
    draws.growth,
    family,
  );
  kernel.turnTo(0, Math.log(soundAgeYears));
  const logAges = Float64Array.from(agesYears, Math.log);
  const [density, mean, survival] = [0, 0, 0].map(() => new Float64Array(MOST_POINTS));
  const curveOf = (of: Float64Array): Float64Array => {
    survivalInto(survival, of, kernel);
    return logAges.map((y) => survivalAtLogAge(y, survival, of, kernel));
  };
  const curves = Array.from({ length: draws.draws }, (_, d) => {
    kernel.densityInto(density, d);
    for (let j = 0; j < kernel.points; j++) mean[j] += density[j] / draws.draws;
    return curveOf(density);
  });
  const bands = Array.from(logAges, (_, j) => intervalOf(Float64Array.from(curves, (curve) => curve[j])));
  return {
    survival: curveOf(mean),
    lower: Float64Array.from(bands, (band) => band.lower),
    upper: Float64Array.from(bands, (band) => band.upper),
  };
}
