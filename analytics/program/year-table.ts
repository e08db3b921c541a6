import { intervalOf } from '../forecast/draw-table.ts';
import type { Estimate } from './program-outcome.ts';

/** One quantity by draw and year with its expectation by year, of some part of the network. */
export interface YearDraws {
  /** One entry for each year. */ readonly expected: Float64Array;
  /** Row-major, draws x years. */ readonly values: Float64Array;
}

/** Sum of some quantities, year by year and draw by draw. */
export function sumOf(parts: readonly YearDraws[], years: number, draws: number): YearDraws {
  const sum = { expected: new Float64Array(years), values: new Float64Array(draws * years) };
  for (const { expected, values } of parts) {
    for (let y = 0; y < years; y++) sum.expected[y] += expected[y];
    for (let at = 0; at < values.length; at++) sum.values[at] += values[at];
  }
  return sum;
}

/** Estimate of a year's value times a factor. */
export function inYear({ expected, values }: YearDraws, y: number, factor = 1): Estimate {
  const years = expected.length;
  const ofYear = Float64Array.from({ length: values.length / years }, (_, d) => factor * values[d * years + y]);
  return { expected: factor * expected[y], ...intervalOf(ofYear) };
}

/** Estimate of the sum over years, each times its own factor. */
export function overYears(quantity: YearDraws, factors: readonly number[]): Estimate {
  const { expected, values } = weighted(quantity, factors);
  return { expected, ...intervalOf(values) };
}

/** Sum over the years of `factors`, draw by draw. */
export function weighted({ expected, values }: YearDraws, factors: readonly number[]) {
  const years = expected.length;
  const total = (of: Float64Array, row: number) => factors.reduce((sum, factor, y) => sum + factor * of[row + y], 0);
  return {
    expected: total(expected, 0),
    values: Float64Array.from({ length: values.length / years }, (_, d) => total(values, d * years)),
  };
}
