import { readingModel } from '../../../../analytics/condition/condition.ts';
import { fitCondition } from '../../../../analytics/condition/fit-condition.ts';
import { simulate, TRUTH } from './simulate.ts';

export interface Recovery {
  readonly names: readonly string[];
  /** Mean error over its own Monte Carlo standard error, one for each parameter. */ readonly bias: readonly number[];
  /** Share of 95 % intervals that hold the truth, one for each parameter. */ readonly covered: readonly number[];
  /** The same of the inspectors' shifts together. */ readonly shiftsCovered: number;
}

const NAMES = ['intercept', 'switch', 'width', 'log sigma', 'log m', 'log tau'] as const;
const VALUES = [
  ...TRUTH.coefficients,
  Math.log(TRUTH.sigma),
  Math.log(TRUTH.exponent),
  Math.log(TRUTH.readingSd),
] as const;

/** Fits seeded data sets of known truth by plain likelihood of life. */
export function recover(sets: number, seals: number): Recovery {
  const errors: number[][] = VALUES.map(() => []);
  const hits = VALUES.map(() => 0);
  let [shiftHits, shifts] = [0, 0];
  for (let seed = 1; seed <= sets; seed++) {
    const { data, shift } = simulate({ seed, seals });
    const fit = fitCondition(data, { family: 'weibull', prior: null, reading: readingModel(TRUTH.threshold) });
    const { growth, covariance, life } = fit;
    if (!growth || !covariance) throw new Error(`Seed ${seed}: ${fit.sentence}`);
    const found = [...life.coefficients, Math.log(life.scale), Math.log(growth.exponent), Math.log(growth.readingSd)];
    const n = Math.round(Math.sqrt(covariance.length));
    for (const [j, value] of VALUES.entries()) {
      errors[j].push(found[j] - value);
      if (Math.abs(found[j] - value) < 1.96 * Math.sqrt(covariance[j * n + j])) hits[j]++;
    }
    shifts += shift.length;
    shiftHits += shift.filter(
      (c, k) => Math.abs(growth.inspectorShift[k] - c) < 1.96 * growth.inspectorShiftSe[k],
    ).length;
  }
  return {
    names: NAMES,
    bias: errors.map(biasInErrors),
    covered: hits.map((count) => count / sets),
    shiftsCovered: shiftHits / shifts,
  };
}

function biasInErrors(errors: readonly number[]): number {
  const n = errors.length;
  const mean = errors.reduce((a, b) => a + b, 0) / n;
  const variance = errors.reduce((sum, error) => sum + (error - mean) ** 2, 0) / (n - 1);
  return mean / Math.sqrt(variance / n);
}
