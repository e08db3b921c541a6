import { readFileSync } from 'node:fs';
import type { AftData, Family } from '../../../analytics/survival/aft.ts';

/** The reference files beside this one, with their types; how each was made is in the .R files and in `source`. */
const read = <T>(name: string): T => JSON.parse(readFileSync(new URL(name, import.meta.url), 'utf8')) as T;

export interface ReferenceFit {
  readonly dist: Family;
  readonly coefficients: Readonly<Record<string, number>>;
  readonly scale: number;
  readonly logLik: number;
  readonly standardErrors: Readonly<Record<string, number>>;
  readonly covariance: readonly (readonly number[])[] | number;
  readonly firstRowQuantiles: { readonly p: readonly number[]; readonly time: number[]; readonly se: number[] };
}
export interface ReferenceCase {
  readonly name: string;
  readonly covariates: readonly string[];
  readonly rows: readonly Readonly<Record<string, number | null>>[];
  readonly fits: readonly ReferenceFit[];
}
export const aftCases = read<readonly ReferenceCase[]>('aft-fits.json');

export const mixedCensoring = read<{
  readonly rows: readonly (readonly [number, number, number | null, number])[];
  readonly fits: readonly {
    readonly family: Family;
    readonly mu: number;
    readonly sigma: number;
    readonly logLikelihood: number;
    readonly seMu: number;
    readonly seLogSigma: number;
    readonly covariance: number;
  }[];
}>('mixed-censoring.json');

export const leftTruncated = read<{
  readonly rows: readonly { readonly 1: number; readonly 2: number; readonly 3: number; readonly x: number }[];
  readonly weibull: {
    readonly intercept: number;
    readonly decadesSince1980: number;
    readonly logScale: number;
    readonly logLik: number;
    readonly standardErrors: readonly number[];
  };
  readonly productLimitDelayedEntry: { readonly days: readonly number[]; readonly survival: readonly number[] };
}>('left-truncated.json');

export const nonparametric = read<{
  readonly kaplanMeier: readonly {
    readonly name: string;
    readonly time: readonly number[];
    readonly status: readonly number[];
    readonly steps: readonly {
      readonly time: number;
      readonly atRisk: number;
      readonly events: number;
      readonly survival: number;
      readonly se: number | null;
    }[];
  }[];
  readonly turnbull: readonly {
    readonly name: string;
    readonly rows: readonly { readonly lower: number | null; readonly upper: number | null; readonly weight: number }[];
    readonly steps: readonly { readonly time: number; readonly survival: number }[];
  }[];
}>('nonparametric.json');

/** Rows [entry, lower, upper (null: sound), weight] as data with an intercept alone. */
export function dataOf(rows: readonly (readonly [number, number, number | null, number])[]): AftData {
  return {
    entry: Float64Array.from(rows, (r) => r[0]),
    lower: Float64Array.from(rows, (r) => r[1]),
    upper: Float64Array.from(rows, (r) => r[2] ?? Infinity),
    weight: Float64Array.from(rows, (r) => r[3]),
    covariates: new Float64Array(0),
    names: [],
    intercept: true,
  };
}

/** A case of aft-fits.json as data; `null` bounds are open. */
export function caseData({ rows, covariates }: ReferenceCase): AftData {
  return {
    entry: new Float64Array(rows.length),
    lower: Float64Array.from(rows, (r) => r.lower ?? 0),
    upper: Float64Array.from(rows, (r) => r.upper ?? Infinity),
    weight: Float64Array.from(rows, (r) => r.weight ?? 1),
    covariates: Float64Array.from(rows.flatMap((r) => covariates.map((name) => r[name] as number))),
    names: covariates,
    intercept: true,
  };
}
