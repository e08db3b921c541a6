import type { AftData, AftFit } from '../survival/aft.ts';
import { cumulativeHazardAt } from '../survival/families.ts';

/** Cumulative hazards of each row under a fit, less that at entry: a row counts given that it was sound then. */
export interface RowHazards {
  readonly lower: Float64Array;
  /** Infinity while sound. */ readonly upper: Float64Array;
}

/** Cumulative hazard gained between entry and both bounds of every row. */
export function rowHazards(data: AftData, fit: AftFit): RowHazards {
  const predictors = rowPredictors(data, fit);
  const gained = (ages: Float64Array): Float64Array =>
    ages.map((age, i) => {
      if (age === Infinity) return Infinity;
      const at = (time: number) => cumulativeHazardAt(fit.family, Math.log(time), predictors[i], fit.scale);
      return Math.max(0, at(age) - at(data.entry[i]));
    });
  return { lower: gained(data.lower), upper: gained(data.upper) };
}

/** x'beta of every row. */
export function rowPredictors({ covariates, names, intercept, lower }: AftData, fit: AftFit): Float64Array {
  const first = intercept ? 1 : 0;
  return Float64Array.from(lower, (_, i) => {
    let eta = intercept ? fit.coefficients[0] : 0;
    for (let j = 0; j < names.length; j++) eta += fit.coefficients[first + j] * covariates[i * names.length + j];
    return eta;
  });
}
