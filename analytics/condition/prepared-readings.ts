import type { ReadingCounts, ReadingModel, ShareReadings } from './condition.ts';
import { linkOf, logLinkSlope } from './share-link.ts';

/** Kinds of a reading: a share between the limits, one at or below the detection limit, one at or above the full limit. */
export const MEASURED = 0;
export const AT_MOST = 1;
export const AT_LEAST = 2;

/** Readings on the model's own scale, those at age 0 left out. */
export interface PreparedReadings {
  /** Rows + 1 entries. */ readonly start: Int32Array;
  readonly logAge: Float64Array;
  /** g(share) - g(h); of a censored reading, that of its limit. */ readonly level: Float64Array;
  readonly kind: Uint8Array;
  /** Variance that the error of the age adds to the pointer; 0 where it is exact. */ readonly ageVariance: Float64Array;
  readonly inspector: Int32Array;
  /** Inspectors named: the largest index and one. */ readonly inspectors: number;
  /** Most readings of one row. */ readonly most: number;
  /** log g'(share) of each measured reading; 0 of the others. */ readonly logSlope: Float64Array;
}

export function prepareReadings(readings: ShareReadings, model: ReadingModel): PreparedReadings {
  const { readingStart, readingAge, readingShare, readingInspector } = readings;
  const rows = readingStart.length - 1;
  const kept = readingAge.reduce((sum, age) => sum + Number(age > 0), 0);
  const start = new Int32Array(rows + 1);
  const logAge = new Float64Array(kept);
  const level = new Float64Array(kept);
  const kind = new Uint8Array(kept);
  const inspector = new Int32Array(kept);
  const logSlope = new Float64Array(kept);
  const ageVariance = new Float64Array(kept);
  const atThreshold = linkOf(model.link, model.failureThresholdShare);
  const limits = limitsOnRecord(model);
  let [next, inspectors, most] = [0, 0, 0];
  for (let i = 0; i < rows; i++) {
    for (let r = readingStart[i]; r < readingStart[i + 1]; r++) {
      if (!(readingAge[r] > 0)) continue;
      const share = readingShare[r];
      logAge[next] = Math.log(readingAge[r]);
      const limit = limits.find((each) => share >= each.from && share <= each.to);
      kind[next] = limit ? limit.kind : MEASURED;
      level[next] = linkOf(model.link, limit ? limit.share : share) - atThreshold;
      if (kind[next] === MEASURED) logSlope[next] = logLinkSlope(model.link, share);
      if (readings.readingAgeSd)
        ageVariance[next] = ((readings.readingAgeSd[r] / readingAge[r]) * ageErrorShare(level[next])) ** 2;
      inspector[next] = readingInspector[r];
      inspectors = Math.max(inspectors, readingInspector[r] + 1);
      next++;
    }
    start[i + 1] = next;
    most = Math.max(most, next - start[i]);
  }
  return { start, logAge, level, kind, ageVariance, inspector, inspectors, most, logSlope };
}

/** A usual exponent of growth: near enough to say how far ahead of failure a level is. */
const USUAL_EXPONENT = 2.5;

/**
 * How much of the relative error of a reading's age is left in what it tells of the day of failure, 1 - age / life. Life
 * counts from the same uncertain day of installation as age: a seal read at the threshold has failed today, however old.
 */
const ageErrorShare = (level: number): number => Math.abs(1 - Math.exp(level / USUAL_EXPONENT));

interface Limit {
  readonly kind: number;
  /** Shares on record that it takes, both ends included. */ readonly from: number;
  readonly to: number;
  /** Where they truly end: halfway to the next share on record. */ readonly share: number;
}

function limitsOnRecord(model: ReadingModel): Limit[] {
  const {
    detectionLimitShare,
    fullLimitShare,
    failureThresholdShare: h,
    recordingStepShare,
    thresholdBandShare,
  } = model;
  const step = recordingStepShare === 0 ? null : recordingStepShare;
  const lastUpTo = (share: number) => (step ? (Math.floor(share / step + 1e-9) + 0.5) * step : share);
  const firstFrom = (share: number) => (step ? (Math.ceil(share / step - 1e-9) - 0.5) * step : share);
  const limits = [
    { kind: AT_MOST, from: 0, to: detectionLimitShare, share: lastUpTo(detectionLimitShare) },
    { kind: AT_LEAST, from: fullLimitShare, to: 1, share: Math.min(firstFrom(fullLimitShare), 1 - 1e-9) },
  ];
  if (thresholdBandShare === 0) return limits;
  const [below, above] = [h - thresholdBandShare, h + thresholdBandShare];
  return [
    ...limits,
    { kind: AT_LEAST, from: below, to: h * (1 - 1e-12), share: firstFrom(below) },
    { kind: AT_MOST, from: h * (1 - 1e-12), to: above, share: lastUpTo(above) },
  ];
}

/** Steps in which shares may be on record, coarsest first. */
const STEPS = [0.1, 0.05, 0.02, 0.01, 0.005, 0.002, 0.001] as const;

/** The coarsest usual step that 99 % of the shares above 0 are multiples of; 0 where there is none. */
export function recordingStep(shares: ArrayLike<number>): number {
  let above = 0;
  const multiples = new Int32Array(STEPS.length);
  for (let r = 0; r < shares.length; r++) {
    if (!(shares[r] > 0)) continue;
    above++;
    for (let k = 0; k < STEPS.length; k++) {
      const steps = shares[r] / STEPS[k];
      if (Math.abs(steps - Math.round(steps)) < 1e-6) multiples[k]++;
    }
  }
  return STEPS.find((_, k) => above > 0 && multiples[k] >= 0.99 * above) ?? 0;
}

export function countReadings(readings: ShareReadings, prepared: PreparedReadings): ReadingCounts {
  const { start, kind, level } = prepared;
  let [atOrBelowLimit, full, atThreshold, sealsWithShare, sealsWithTwoShares] = [0, 0, 0, 0, 0];
  for (let i = 0; i + 1 < start.length; i++) {
    let measured = 0;
    for (let r = start[i]; r < start[i + 1]; r++) {
      if (kind[r] === MEASURED) measured++;
      else if (level[r] < 0 === (kind[r] === AT_LEAST)) atThreshold++;
      else if (kind[r] === AT_MOST) atOrBelowLimit++;
      else full++;
    }
    if (measured >= 1) sealsWithShare++;
    if (measured >= 2) sealsWithTwoShares++;
  }
  const total = readings.readingAge.length;
  return {
    readings: total,
    atAgeZero: total - kind.length,
    atOrBelowLimit,
    full,
    atThreshold,
    sealsWithShare,
    sealsWithTwoShares,
  };
}

/** Fewer seals with a share between the limits than this, or with two: growth and noise cannot be told apart. */
export const LEAST_SEALS_WITH_SHARE = 30;
export const LEAST_SEALS_WITH_TWO = 10;

/** Why the readings are too few for the model, in one sentence; null where they are enough. */
export function thinness({ sealsWithShare, sealsWithTwoShares }: ReadingCounts): string | null {
  if (sealsWithShare >= LEAST_SEALS_WITH_SHARE && sealsWithTwoShares >= LEAST_SEALS_WITH_TWO) return null;
  return (
    `Damaged shares are too few to learn how damage grows: ${sealsWithShare} seals have one above the detection limit ` +
    `(${LEAST_SEALS_WITH_SHARE} are needed) and ${sealsWithTwoShares} have two (${LEAST_SEALS_WITH_TWO} are needed), ` +
    'so forecasts rest on soundness and failure alone.'
  );
}
