import { COVARIATES, type Covariate, type SealCovariates } from './covariate-table.ts';

/** How one covariate becomes a column: (value - mean) / sd; switches keep mean 0 and sd 1. */
export interface CovariateColumn {
  readonly covariate: Covariate;
  readonly mean: number;
  readonly sd: number;
  /** What a missing value is read as: the network mean, also of a switch. */ readonly fill: number;
  /** Rows of the network without a value. */ readonly missing: number;
}

/** The columns of the design matrix: one per sealant class, then the covariates that vary over the network. */
export interface Design {
  readonly classes: readonly string[];
  readonly columns: readonly CovariateColumn[];
  /** Column names in order: "class:..." then covariate names. No intercept: the classes span it. */
  readonly names: readonly string[];
  /** Covariates left out, each with the reason as a sentence. */
  readonly dropped: readonly { readonly name: string; readonly reason: string }[];
}

export const classColumnName = (sealantClass: string): string => `class:${sealantClass}`;

/**
 * Learns the columns from every seal of the network, fitted or not, so that a forecast never meets an unknown class.
 * A covariate without two different values is left out: nothing can be learnt about it.
 */
export function learnDesign(network: readonly SealCovariates[]): Design {
  const classes = [...new Set(network.map((seal) => seal.sealantClass))].sort();
  const columns: CovariateColumn[] = [];
  const dropped: { name: string; reason: string }[] = [];
  const values = valuesOf(network);
  for (const [k, covariate] of COVARIATES.entries()) {
    const learnt = learnColumn(covariate, values.subarray(k * network.length, (k + 1) * network.length));
    if (typeof learnt === 'string') dropped.push({ name: covariate.name, reason: learnt });
    else columns.push(learnt);
  }
  const names = [...classes.map(classColumnName), ...columns.map((column) => column.covariate.name)];
  return { classes, columns, names, dropped };
}

/** Covariate by covariate; NaN: not known. Seals are gone through once, since a network has many. */
function valuesOf(network: readonly SealCovariates[]): Float64Array {
  const out = new Float64Array(COVARIATES.length * network.length);
  for (const [i, seal] of network.entries())
    for (let k = 0; k < COVARIATES.length; k++) {
      const value = COVARIATES[k].valueOf(seal);
      out[k * network.length + i] = value !== null && Number.isFinite(value) ? value : Number.NaN;
    }
  return out;
}

function learnColumn(covariate: Covariate, values: Float64Array): CovariateColumn | string {
  let [count, sum, low, high] = [0, 0, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const value of values) {
    if (Number.isNaN(value)) continue;
    count++;
    sum += value;
    low = Math.min(low, value);
    high = Math.max(high, value);
  }
  if (count === 0) return `${covariate.label} is left out: no seal has a value.`;
  if (high - low <= 1e-9 * Math.max(1, Math.abs(high)))
    return `${covariate.label} is left out: it is the same for the whole network.`;
  const mean = sum / count;
  const missing = values.length - count;
  if (covariate.kind === 'switch') return { covariate, mean: 0, sd: 1, fill: mean, missing };
  let squares = 0;
  for (const value of values) if (!Number.isNaN(value)) squares += (value - mean) ** 2;
  return { covariate, mean, sd: Math.sqrt(squares / count), fill: mean, missing };
}

/**
 * Writes one row of the design matrix into `out` from `offset`, `design.names.length` numbers.
 * @throws RangeError when the class was not in the network that the design was learnt from
 */
export function writeDesignRow(design: Design, seal: SealCovariates, out: Float64Array, offset: number): void {
  const { classes, columns } = design;
  const own = classes.indexOf(seal.sealantClass);
  if (own < 0) throw new RangeError(`Sealant class is ${seal.sealantClass}; expected one of ${classes.join(', ')}`);
  for (let i = 0; i < classes.length; i++) out[offset + i] = i === own ? 1 : 0;
  for (let i = 0; i < columns.length; i++) {
    const { covariate, mean, sd, fill } = columns[i];
    const value = covariate.valueOf(seal);
    out[offset + classes.length + i] = ((value !== null && Number.isFinite(value) ? value : fill) - mean) / sd;
  }
}

/** Design matrix, row-major, seals x names. */
export function designMatrix(design: Design, seals: readonly SealCovariates[]): Float64Array {
  const out = new Float64Array(seals.length * design.names.length);
  for (let i = 0; i < seals.length; i++) writeDesignRow(design, seals[i], out, i * design.names.length);
  return out;
}

/** How many times as long a seal lasts for one reported step of a covariate, from its standardised coefficient. */
export const lifeRatioPerStep = ({ covariate, sd }: CovariateColumn, coefficient: number): number =>
  Math.exp((coefficient * covariate.step) / sd);
