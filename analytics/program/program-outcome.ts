import type { Interval } from '../forecast/draw-table.ts';

/**
 * Median and 80 % interval over draws, and the expectation: chances averaged over all draws of the model, prices as listed.
 */
export interface Estimate extends Interval {
  readonly expected: number;
}

/**
 * What a plan comes to. Money is constant money of the price year unless its name says `nominal`: money of the year it is
 * spent in. A length is failed at a year end when its seal had failed by then and was not resealed in that year.
 */
export interface ProgramOutcome {
  /** Calendar years. */ readonly years: readonly number[];
  /** Work by year, district and class; only where there is any, ordered by year, district, class. */
  readonly rows: readonly WorkRow[];
  /** Each year. */ readonly network: readonly YearRow[];
  /** By year, then district; all districts in all years. */
  readonly districts: readonly (YearRow & { readonly district: number })[];
  /** By year, then kind of facility. */
  readonly facilityKinds: readonly (FailedRow & { readonly facilityKind: number })[];
  readonly totals: ProgramTotals;
  /** Use of each limit, in their order. */ readonly limits: readonly LimitUse[];
  /** Draw by draw, for differences between plans. */ readonly draws: OutcomeDraws;
}

export interface WorkRow {
  readonly year: number;
  readonly district: number;
  readonly sealantClass: number;
  /** Reseals of segments. */ readonly works: number;
  /** m. A plan says what is resealed, so no interval. */ readonly lengthM: number;
  /** Work alone, without mobilisation. */ readonly cost: Estimate;
  readonly nominalCost: Estimate;
}

export interface FailedRow {
  readonly year: number;
  /** Failed length over sealed length at the year's end, 0 to 1. */ readonly failedShare: Estimate;
  /** Backlog: length failed and not resealed by the year's end, m. */ readonly backlogM: Estimate;
}

export interface YearRow extends FailedRow {
  readonly works: number;
  readonly lengthM: number;
  /** Facilities at work in the year whose mobilisation counts here. */ readonly mobilisations: number;
  readonly mobilisationCost: number;
  /** Work and mobilisation. */ readonly cost: Estimate;
  readonly nominalCost: Estimate;
  /** What failed joints cost in the year. */ readonly openCost: Estimate;
}

/** Over the horizon. Present values are in constant money at the end of the planning year, by the real rate. */
export interface ProgramTotals {
  readonly works: number;
  readonly lengthM: number;
  /** Undiscounted. */ readonly cost: Estimate;
  readonly nominalCost: Estimate;
  readonly presentCost: Estimate;
  readonly presentOpenCost: Estimate;
  /** `presentCost` and `presentOpenCost`. */ readonly presentTotal: Estimate;
  /** `presentTotal` as an even yearly sum over the horizon (FHWA-SA-98-079). */ readonly annualCost: Estimate;
  /** What follows the horizon, valued in the planning year: expectation only. */ readonly presentAfterHorizon: number;
  /** Failed length summed over year ends, m years. */ readonly failedLengthYears: Estimate;
  readonly backlogAtEndM: Estimate;
}

export interface LimitUse {
  /** Index into the problem's limits. */ readonly row: number;
  /** Money or m worked in the year. */ readonly used: number;
  /** Over the upper bound; null where there is none, or it is 0. */ readonly usedShare: number | null;
  /** How far a bound is missed, 0 if kept. */ readonly missedBy: number;
}

/** Row-major, draws x years, of the network. */
export interface OutcomeDraws {
  readonly draws: number;
  readonly years: readonly number[];
  readonly sealedLengthM: number;
  readonly discountRatePerYear: number;
  readonly failedM: Float64Array;
  readonly cost: Float64Array;
  readonly openCost: Float64Array;
  /** Expectations of the same three, one for each year. */
  readonly expected: { readonly failedM: Float64Array; readonly cost: Float64Array; readonly openCost: Float64Array };
}
