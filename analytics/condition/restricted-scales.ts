import { choleskyInPlace, choleskySolveInPlace, invertPositiveDefinite } from '../numeric/cholesky.ts';
import type { ConditionDensity } from './condition-density.ts';

/** Step in the logarithm of a scale: central differences are then good to a thousandth of the slope. */
const STEP = 0.05;

/**
 * How far the scales (sigma, m, tau), and with them all else, move from a mode once coefficients and shifts are integrated out
 * rather than held where they are likeliest: about fitted means errors look too small, as a variance with the wrong divisor does.
 * By Laplace's approximation the log marginal of the scales has -1/2 log |information of the rest| besides, taken along the ridge
 * of the rest given the scales; this is one Newton step up its slope.
 * Source: Patterson and Thompson (Biometrika 58, 1971), restricted likelihood; Cox and Reid (J. R. Statist. Soc. B 49, 1987).
 * @returns null where the information is not positive definite
 */
export function restrictedStep(
  density: ConditionDensity,
  theta: Float64Array,
  hessian: Float64Array,
): Float64Array | null {
  const { places } = density;
  const { size } = places;
  const covariance = invertPositiveDefinite(
    hessian.map((h) => -h),
    size,
  );
  if (!covariance) return null;
  const scales = [places.logSigma, places.logExponent, places.logReadingSd].filter((at) => at >= 0);
  const rest = [...theta.keys()].filter((at) => !scales.includes(at));
  const out = new Float64Array(size);
  for (const scale of scales) {
    const along = alongRidge(hessian, scale, rest, size);
    if (!along) return null;
    const logDeterminant = (step: number): number => logInformation(density, moved(theta, along, step), rest);
    const slope = -(logDeterminant(STEP) - logDeterminant(-STEP)) / (4 * STEP);
    if (!Number.isFinite(slope)) return null;
    for (let a = 0; a < size; a++) out[a] += slope * covariance[a * size + scale];
  }
  return out;
}

const moved = (theta: Float64Array, along: Float64Array, step: number): Float64Array =>
  theta.map((value, a) => value + step * along[a]);

/** One up in a scale, and what the rest does where it stays likeliest. */
function alongRidge(hessian: Float64Array, scale: number, rest: readonly number[], size: number): Float64Array | null {
  const factor = blockOf(hessian, rest, size);
  if (!choleskyInPlace(factor, rest.length)) return null;
  const follow = Float64Array.from(rest, (a) => hessian[Math.max(a, scale) * size + Math.min(a, scale)]);
  choleskySolveInPlace(factor, rest.length, follow);
  const out = new Float64Array(size);
  out[scale] = 1;
  for (const [k, a] of rest.entries()) out[a] = follow[k];
  return out;
}

function logInformation(density: ConditionDensity, theta: Float64Array, rest: readonly number[]): number {
  const size = theta.length;
  const hessian = new Float64Array(size * size);
  density.derivatives(theta, new Float64Array(size), hessian);
  const factor = blockOf(hessian, rest, size);
  if (!choleskyInPlace(factor, rest.length)) return Number.NaN;
  let sum = 0;
  for (let k = 0; k < rest.length; k++) sum += 2 * Math.log(factor[k * (rest.length + 1)]);
  return sum;
}

/** Minus the Hessian of some parameters; its lower triangle. */
function blockOf(hessian: Float64Array, rest: readonly number[], size: number): Float64Array {
  const out = new Float64Array(rest.length * rest.length);
  for (const [k, a] of rest.entries())
    for (let m = 0; m <= k; m++) out[k * rest.length + m] = -hessian[a * size + rest[m]];
  return out;
}
