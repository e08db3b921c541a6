import type { Range } from '../backtest/calibration.ts';
import type { AftData, AftFit } from '../survival/aft.ts';
import { rowHazards } from './fitted-hazard.ts';

/** A covariate to set the residuals against. `values`: one for each row, NaN where not recorded. */
export interface ResidualCovariate {
  readonly name: string;
  readonly values: Float64Array;
}

export interface ResidualBin {
  /** Smallest and largest value in the bin; null for the rows without a value. */ readonly from: number | null;
  readonly to: number | null;
  readonly rows: number;
  /** Mean residual: above 0, such seals last longer than the fit says. */ readonly mean: number;
  /** 80 % interval of the mean; null with one row. */ readonly interval: Range | null;
}

export interface CovariateResiduals {
  readonly name: string;
  readonly bins: readonly ResidualBin[];
}

/**
 * Probability-scale residual of each row, F(lower) + F(upper) - 1, with F the fitted chance of failing given soundness at
 * entry: 2 F - 1 for an exact age, F(lower) for a seal still sound. Its mean is 0 where the fit is right.
 * Source: Shepherd, Li and Liu, Canadian Journal of Statistics 44 (2016), 463–479 (from memory); general interval
 * censoring in arXiv 2409.11385.
 */
export function probabilityResiduals(data: AftData, fit: AftFit): Float64Array {
  const { lower, upper } = rowHazards(data, fit);
  const failedBy = (hazard: number): number => -Math.expm1(-hazard);
  return lower.map((hazard, i) => failedBy(hazard) + failedBy(upper[i]) - 1);
}

const MOST_BINS = 10;
const Z80 = 1.2815515655446004;

/** Mean residual in bins of like size of a covariate; few distinct values are a bin each, missing ones a bin of their own. */
export function residualsAgainst(
  residuals: Float64Array,
  weight: Float64Array,
  { name, values }: ResidualCovariate,
): CovariateResiduals {
  const order = [...values.keys()]
    .filter((i) => !Number.isNaN(values[i]))
    .sort((a, b) => values[a] - values[b] || a - b);
  const distinct = new Set(order.map((i) => values[i]));
  const bins: number[][] = [];
  for (const [rank, i] of order.entries()) {
    const startsBin =
      distinct.size <= MOST_BINS
        ? rank === 0 || values[order[rank - 1]] !== values[i]
        : // Equal values stay together, so that a bin's limits say what is in it.
          rank >= (bins.length * order.length) / MOST_BINS && values[order[rank - 1]] !== values[i];
    if (startsBin) bins.push([]);
    bins[bins.length - 1].push(i);
  }
  const missing = [...values.keys()].filter((i) => Number.isNaN(values[i]));
  const told = bins.map((rows) => ({
    from: values[rows[0]],
    to: values[rows[rows.length - 1]],
    ...meanOf(residuals, weight, rows),
  }));
  const without = missing.length > 0 ? [{ from: null, to: null, ...meanOf(residuals, weight, missing) }] : [];
  return { name, bins: [...told, ...without] };
}

function meanOf(residuals: Float64Array, weight: Float64Array, rows: readonly number[]) {
  const total = rows.reduce((sum, i) => sum + weight[i], 0);
  const mean = rows.reduce((sum, i) => sum + weight[i] * residuals[i], 0) / total;
  const squares = rows.reduce((sum, i) => sum + weight[i] * (residuals[i] - mean) ** 2, 0);
  const reach = total > 1 ? Z80 * Math.sqrt(squares / (total - 1) / total) : null;
  return { rows: rows.length, mean, interval: reach === null ? null : { lower: mean - reach, upper: mean + reach } };
}
