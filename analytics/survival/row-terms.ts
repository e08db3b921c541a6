import { exponential, exponentialLessOne } from '../numeric/exponential.ts';
import type { Family } from './aft.ts';
import { log1mexp, logistic, normalCumulativeHazard, normalHazard, normalLogDensity, softplus } from './families.ts';

/**
 * What one row adds to the log-likelihood, with its derivatives in z, written into a buffer so that nothing is allocated.
 *
 * Rows with one z (right-censored, left-censored, exact, entry): [value, first, second derivative].
 * Interval rows, with zU = zL + gap: [value, sum of both first derivatives, first derivative in zU,
 * sum of all second derivatives, sum of those with zU in them once, second derivative in zU twice].
 * These sums, not the derivatives themselves, stay accurate as the interval shrinks: the parts grow as 1/gap and cancel.
 */
export type Terms = Float64Array;
export const newTerms = (): Terms => new Float64Array(6);

export interface FamilyTerms {
  /** Minus the cumulative hazard: the row is known sound at z. */ readonly right: (z: number, out: Terms) => void;
  /** Log chance of failing by z. */ readonly left: (z: number, out: Terms) => void;
  /** Log density at z, on the z scale. */ readonly exact: (z: number, out: Terms) => void;
  /** Log chance of failing between zL and zL + gap. */
  readonly interval: (zLower: number, gap: number, out: Terms) => void;
  /** The value of `right` alone. */ readonly rightValue: (z: number) => number;
  /** The value of `interval` alone. */ readonly intervalValue: (zLower: number, gap: number) => number;
}

const set = (out: Terms, value: number, first: number, second: number): void => {
  out[0] = value;
  out[1] = first;
  out[2] = second;
};

const weibull: FamilyTerms = {
  right(z, out) {
    const hazard = exponential(z);
    set(out, -hazard, -hazard, -hazard);
  },
  left(z, out) {
    if (z < -40) return set(out, z, 1, 0); // exp(z) is lost beside 1
    const hazard = Math.exp(z);
    const failing = hazard > 700 ? 0 : hazard / Math.expm1(hazard);
    set(out, log1mexp(hazard), failing, failing * (1 - failing - hazard));
  },
  exact(z, out) {
    const hazard = exponential(z);
    set(out, z - hazard, 1 - hazard, -hazard);
  },
  interval(zLower, gap, out) {
    const lower = exponential(zLower);
    const growth = lower * exponentialLessOne(gap);
    const failing = -exponentialLessOne(-growth);
    const inverse = (1 - failing) / failing; // 1 / expm1(growth), to rounding beside 1
    const share = inverse === 0 ? 0 : growth * inverse;
    const upper = lower + growth;
    const slopeUpper = inverse === 0 ? 0 : inverse * upper;
    out[0] = Math.log(failing) - lower;
    out[1] = share - lower;
    out[2] = slopeUpper;
    out[3] = share - lower - share * (share + growth);
    out[4] = slopeUpper * (1 - share - growth);
    out[5] = slopeUpper * (1 - slopeUpper - upper);
  },
  intervalValue(zLower, gap) {
    const lower = exponential(zLower);
    return Math.log(-exponentialLessOne(-lower * exponentialLessOne(gap))) - lower;
  },
  rightValue: (z) => -exponential(z),
};

const loglogistic: FamilyTerms = {
  right(z, out) {
    const p = logistic(z);
    set(out, -softplus(z), -p, -p * logistic(-z));
  },
  left(z, out) {
    const q = logistic(-z);
    set(out, -softplus(-z), q, -q * logistic(z));
  },
  exact(z, out) {
    const p = logistic(z);
    const q = logistic(-z);
    set(out, -softplus(z) - softplus(-z), q - p, -2 * p * q);
  },
  // log(e^zU - e^zL) - softplus(zL) - softplus(zU): shifting both z adds the shift to the first part, so its sums are 1 and 0.
  interval(zLower, gap, out) {
    const zUpper = zLower + gap;
    const pLower = logistic(zLower);
    const pUpper = logistic(zUpper);
    const qUpper = logistic(-zUpper);
    const inverse = gap > 700 ? 0 : 1 / Math.expm1(gap);
    out[0] = log1mexp(gap) - softplus(-zUpper) - softplus(zLower);
    out[1] = qUpper - pLower;
    out[2] = inverse + qUpper;
    out[3] = -pUpper * qUpper - pLower * logistic(-zLower);
    out[4] = -pUpper * qUpper;
    out[5] = -inverse * (1 + inverse) - pUpper * qUpper;
  },
  intervalValue(zLower, gap) {
    return log1mexp(gap) - softplus(-zLower - gap) - softplus(zLower);
  },
  rightValue: (z) => -softplus(z),
};

/** Below this gap the two tails agree in most digits, and the density at the middle, with its first correction, is better. */
const NARROW_GAP = 1e-4;

function logNormalInterval(zLower: number, gap: number): number {
  if (gap < NARROW_GAP) {
    const middle = zLower + gap / 2;
    return normalLogDensity(middle) + Math.log(gap) + Math.log1p((gap * gap * (middle * middle - 1)) / 24);
  }
  const zUpper = zLower + gap;
  // Work in the tail that the interval leans to: the other one is nearly 1 at both ends.
  const near = zLower + zUpper < 0 ? -zUpper : zLower;
  const far = zLower + zUpper < 0 ? -zLower : zUpper;
  const start = normalCumulativeHazard(near);
  return log1mexp(normalCumulativeHazard(far) - start) - start;
}

const lognormal: FamilyTerms = {
  right(z, out) {
    const hazard = normalHazard(z);
    set(out, -normalCumulativeHazard(z), -hazard, -hazard * (hazard - z));
  },
  left(z, out) {
    const hazard = normalHazard(-z);
    set(out, -normalCumulativeHazard(-z), hazard, -hazard * (hazard + z));
  },
  exact(z, out) {
    set(out, normalLogDensity(z), -z, -1);
  },
  interval(zLower, gap, out) {
    const zUpper = zLower + gap;
    const value = logNormalInterval(zLower, gap);
    const lower = Math.exp(normalLogDensity(zLower) - value);
    const upper = Math.exp(normalLogDensity(zUpper) - value);
    const exponent = (-gap * (zLower + zUpper)) / 2;
    const difference = Math.abs(exponent) < 1 ? lower * Math.expm1(exponent) : upper - lower;
    out[0] = value;
    out[1] = difference;
    out[2] = upper;
    out[3] = -gap * lower - zUpper * difference - difference * difference;
    out[4] = -upper * (zUpper + difference);
    out[5] = -upper * (zUpper + upper);
  },
  intervalValue: logNormalInterval,
  rightValue: (z) => -normalCumulativeHazard(z),
};

const TERMS: Record<Family, FamilyTerms> = { weibull, exponential: weibull, loglogistic, lognormal };

export const familyTerms = (family: Family): FamilyTerms => TERMS[family];
