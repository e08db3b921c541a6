import { log1mexp, normalCumulativeHazard, normalHazard } from './families.ts';

/**
 * The standard distribution W of log T = mu + sigma W in the generalised gamma family of Prentice (Biometrika 61, 1974):
 * with Q above 0, exp(Q W) / Q² has the gamma distribution of shape a = 1 / Q²; W for -Q is the mirror image.
 * Q = 1 is the smallest extreme value (Weibull), Q = 0 the normal (log-normal), Q = sigma a gamma-distributed life.
 *
 * All is written in y = Q z and Q², without dividing by Q, so that nothing happens at Q = 0.
 */

const HALF_LOG_2PI = 0.5 * Math.log(2 * Math.PI);

/** (e^y - 1) / y. */
export const expm1Ratio = (y: number): number => (y === 0 ? 1 : Math.expm1(y) / y);

/** (e^y - 1 - y) / y². */
export function expm1Ratio2(y: number): number {
  if (Math.abs(y) > 0.5) return (Math.expm1(y) - y) / (y * y);
  let term = 0.5;
  let sum = term;
  for (let n = 3; Math.abs(term) > 1e-17; n++) {
    term *= y / n;
    sum += term;
  }
  return sum;
}

/** log Gamma(a) minus Stirling's (a - 1/2) log a - a + log(2 pi) / 2, for `inverse` = 1 / a, 0 or more. DLMF 5.11.1. */
export function stirlingRest(inverse: number): number {
  if (inverse <= 1 / 16) {
    const square = inverse * inverse;
    return (
      inverse *
      (1 / 12 -
        square * (1 / 360 - square * (1 / 1260 - square * (1 / 1680 - square * (1 / 1188 - (square * 691) / 360360)))))
    );
  }
  // Climb to where the series holds: Gamma(a) = Gamma(a + 1) / a.
  const a = 1 / inverse;
  const next = 1 / (a + 1);
  return stirlingRest(next) + (a + 0.5) * Math.log1p(inverse) - 1;
}

/** Log density of W at z. */
export function generalisedGammaLogDensity(z: number, q: number): number {
  return -HALF_LOG_2PI - stirlingRest(q * q) - z * z * expm1Ratio2(q * z);
}

/**
 * Writes minus the log of the upper tail (the cumulative hazard) and minus the log of the lower tail, both with their
 * relative accuracy however small the tail is.
 * @param out at least two entries
 */
export function generalisedGammaTails(z: number, q: number, out: Float64Array): void {
  if (q >= 0) {
    gammaTails(z, q, out);
    return;
  }
  gammaTails(-z, -q, out);
  const upper = out[1];
  out[1] = out[0];
  out[0] = upper;
}

/** From this shape on the uniform expansion has all digits near the middle. */
const LARGE_SHAPE_Q = 1 / 8;
const LONGEST_ETA = 1;

function gammaTails(z: number, q: number, out: Float64Array): void {
  const y = q * z;
  if (z === -Infinity || y > 700) {
    out[0] = z === -Infinity ? 0 : Infinity;
    out[1] = z === -Infinity ? Infinity : 0;
    return;
  }
  const half = z * z * expm1Ratio2(y);
  const zeta = Math.sign(z) * Math.sqrt(2 * half);
  if (q <= LARGE_SHAPE_Q && Math.abs(q * zeta) <= LONGEST_ETA) {
    uniformTails(zeta, q, out);
    return;
  }
  const a = 1 / (q * q);
  const x = a * Math.exp(y);
  const logFront = -half - stirlingRest(q * q) - HALF_LOG_2PI;
  if (x < a + 1) {
    out[1] = -(logFront + Math.log(q) + Math.log(lowerSeries(a, x)));
    out[0] = out[1] > 0 ? -log1mexp(out[1]) : Infinity;
  } else {
    out[0] = -(logFront - Math.log(q) + Math.log(upperFraction(a, x)));
    out[1] = out[0] > 0 ? -log1mexp(out[0]) : Infinity;
  }
}

/** 1 + x / (a + 1) + x² / ((a + 1)(a + 2)) + ... DLMF 8.11.4. */
function lowerSeries(a: number, x: number): number {
  let term = 1;
  let sum = 1;
  for (let n = 1; n < 2000 && term > 1e-17 * sum; n++) {
    term *= x / (a + n);
    sum += term;
  }
  return sum;
}

/** Gamma(a, x) e^x x^-a as Legendre's continued fraction (DLMF 8.9.2), by the modified Lentz method. */
function upperFraction(a: number, x: number): number {
  let b = x + 1 - a;
  let c = 1e300;
  let d = 1 / b;
  let value = d;
  for (let n = 1; n < 2000; n++) {
    const numerator = -n * (n - a);
    b += 2;
    d = 1 / nonZero(numerator * d + b);
    c = nonZero(b + numerator / c);
    const change = c * d;
    value *= change;
    if (Math.abs(change - 1) < 1e-16) break;
  }
  return value;
}

const nonZero = (x: number): number => (Math.abs(x) < 1e-300 ? 1e-300 : x);

/** Temme's expansion, uniform in x / a (SIAM J. Math. Anal. 10, 1979; DLMF 8.12): the normal tail and a correction. */
function uniformTails(zeta: number, q: number, out: Float64Array): void {
  const correction = q * uniformSeries(q * zeta, q * q);
  out[0] = normalCumulativeHazard(zeta) - Math.log1p(normalHazard(zeta) * correction);
  out[1] = normalCumulativeHazard(-zeta) - Math.log1p(-normalHazard(-zeta) * correction);
}

const ORDERS = 7;
const POWERS = 30;
/** Row k: the Taylor coefficients of c_k(eta) in DLMF 8.12. */
const UNIFORM = uniformCoefficients();

function uniformSeries(eta: number, inverse: number): number {
  let sum = 0;
  for (let k = ORDERS - 1; k >= 0; k--) {
    let inner = 0;
    for (let n = POWERS - 1; n >= 0; n--) inner = inner * eta + UNIFORM[k * POWERS + n];
    sum = sum * inverse + inner;
  }
  return sum;
}

/** DLMF 8.12.12 to 8.12.14: from x / a - 1 as a power series in eta, and the coefficients of Stirling's series. */
function uniformCoefficients(): Float64Array {
  const length = POWERS + 2 * ORDERS;
  const alpha = new Float64Array(length + 3);
  alpha[1] = 1;
  for (let n = 2; n < alpha.length; n++) {
    let sum = (2 * alpha[n - 1]) / (n + 1);
    for (let i = 2; i < n; i++) sum -= alpha[i] * alpha[n + 1 - i];
    alpha[n] = sum / 2;
  }
  const gammaStar = [1, 1 / 12, 1 / 288, -139 / 51840, -571 / 2488320, 163879 / 209018880, 5246819 / 75246796800];
  const first = Float64Array.from({ length }, (_, n) => (n + 2) * alpha[n + 2] - (n === 0 ? 1 : 0));
  const out = new Float64Array(ORDERS * POWERS);
  let row = first;
  for (let k = 0; k < ORDERS; k++) {
    if (k > 0) {
      const before = row;
      const sign = k % 2 === 0 ? 1 : -1;
      row = first.map((d, n) => sign * gammaStar[k] * d + (n + 2 < length ? (n + 2) * before[n + 2] : 0));
    }
    out.set(row.subarray(0, POWERS), k * POWERS);
  }
  return out;
}
