import erfc from '@stdlib/math-base-special-erfc';
import erfcx from '@stdlib/math-base-special-erfcx';
import type { Family } from '../survival/aft.ts';

/**
 * Chance that a standardised log life W exceeds z, in log T = eta + sigma W.
 * Smallest extreme value (Weibull, exponential), normal or logistic.
 */
export function standardSurvival(family: Family, z: number): number {
  switch (family) {
    case 'weibull':
    case 'exponential':
      return Math.exp(-Math.exp(z));
    case 'lognormal':
      return 0.5 * erfc(z * Math.SQRT1_2);
    case 'loglogistic':
      return 1 / (1 + Math.exp(z));
    default:
      return family satisfies never;
  }
}

/** Cumulative hazard, -log of `standardSurvival`, exact also where survival has no digits left. */
export function standardHazard(family: Family, z: number): number {
  switch (family) {
    case 'weibull':
    case 'exponential':
      return Math.exp(z);
    case 'lognormal':
      return z > 0
        ? z * z * 0.5 - Math.log(0.5 * erfcx(z * Math.SQRT1_2))
        : -Math.log1p(-0.5 * erfc(-z * Math.SQRT1_2));
    case 'loglogistic':
      return Math.max(z, 0) + Math.log1p(Math.exp(-Math.abs(z)));
    default:
      return family satisfies never;
  }
}

/** Steps of the table per unit of z; linear interpolation between them is off by less than 3e-7. */
const PER_UNIT = 512;

/** Survival against z on an even grid, for loops that cannot afford an exponential for each look-up. */
export interface SurvivalTable {
  readonly family: Family;
  /** z of the first entry; below it survival is 1 to 1e-9. */ readonly fromZ: number;
  readonly perUnit: number;
  readonly values: Float64Array;
  /** Largest index from which a cell can be read; above it survival is below 1e-9. */ readonly lastCell: number;
}

const tables = new Map<Family, SurvivalTable>();

/** The table of a family, made once. */
export function survivalTable(family: Family): SurvivalTable {
  const known = tables.get(family);
  if (known) return known;
  const [fromZ, toZ] = family === 'lognormal' ? [-6.5, 6.5] : family === 'loglogistic' ? [-21, 21] : [-21, 3.2];
  const cells = Math.round((toZ - fromZ) * PER_UNIT);
  const values = Float64Array.from({ length: cells + 1 }, (_, i) => standardSurvival(family, fromZ + i / PER_UNIT));
  const table = { family, fromZ, perUnit: PER_UNIT, values, lastCell: cells - 1 };
  tables.set(family, table);
  return table;
}
