import { choleskyInPlace, choleskySolveInPlace } from '../numeric/cholesky.ts';
import type { ThetaPlaces } from './row-sums.ts';

/** Range of omega on the link's scale, and how finely its logarithm is searched. */
const LOG_RANGE = [Math.log(0.005), Math.log(3)] as const;
const GRID = 24;
const GOLDEN = (Math.sqrt(5) - 1) / 2;

/**
 * The inspector SD that a fit's mode points to: the mode of the Laplace-marginal posterior of omega, with b integrated out.
 *
 * At the mode for the omega used so far, the log-likelihood profiled over all else is taken as quadratic in b. Then
 * b ~ normal(0, omega²) integrates in closed form. Prior: gamma of shape 2 (Chung and others, 2013, Psychometrika 78:
 * it keeps a variance off zero without pulling it far).
 * @param hessian of the penalised log-likelihood at `theta`, which holds the prior -1 / omegaNow² on each b
 */
export function betterInspectorSd(
  theta: Float64Array,
  hessian: Float64Array,
  places: ThetaPlaces,
  { omegaNow, priorMean }: { readonly omegaNow: number; readonly priorMean: number },
): number {
  const { inspectors } = places;
  const curve = profiledInformation(hessian, places);
  if (!curve) return omegaNow;
  for (let k = 0; k < inspectors; k++) curve[k * inspectors + k] -= 1 / omegaNow ** 2;
  const b = theta.subarray(places.firstShift, places.firstShift + inspectors);
  // At the mode the slope of the likelihood is that of the prior, b / omegaNow².
  const linear = b.map((value, k) => {
    let sum = value / omegaNow ** 2;
    for (let m = 0; m < inspectors; m++) sum += curve[k * inspectors + m] * b[m];
    return sum;
  });
  const objective = (logOmega: number): number => {
    const omega = Math.exp(logOmega);
    const factor = Float64Array.from(curve);
    for (let k = 0; k < inspectors; k++) factor[k * inspectors + k] += 1 / omega ** 2;
    if (!choleskyInPlace(factor, inspectors)) return -Infinity;
    const solved = Float64Array.from(linear);
    choleskySolveInPlace(factor, inspectors, solved);
    let value = Math.log(omega) - (2 * omega) / priorMean - inspectors * logOmega;
    for (let k = 0; k < inspectors; k++) value += 0.5 * linear[k] * solved[k] - Math.log(factor[k * inspectors + k]);
    return value;
  };
  return Math.exp(maximum(objective));
}

/** Information on b with everything else profiled out, inspectors x inspectors; null where the rest is not determined. */
function profiledInformation(
  hessian: Float64Array,
  { firstShift, inspectors, size }: ThetaPlaces,
): Float64Array | null {
  const rest = new Float64Array(firstShift * firstShift);
  for (let a = 0; a < firstShift; a++) for (let c = 0; c <= a; c++) rest[a * firstShift + c] = -hessian[a * size + c];
  if (!choleskyInPlace(rest, firstShift)) return null;
  const out = new Float64Array(inspectors * inspectors);
  const column = new Float64Array(firstShift);
  for (let k = 0; k < inspectors; k++) {
    for (let a = 0; a < firstShift; a++) column[a] = -hessian[(firstShift + k) * size + a];
    choleskySolveInPlace(rest, firstShift, column);
    for (let m = 0; m < inspectors; m++) {
      let sum = -hessian[(firstShift + k) * size + firstShift + m];
      for (let a = 0; a < firstShift; a++) sum += hessian[(firstShift + m) * size + a] * column[a];
      out[k * inspectors + m] = sum;
    }
  }
  return out;
}

/** Highest point of a grid, sharpened by golden-section search between its neighbours. */
function maximum(objective: (x: number) => number): number {
  const step = (LOG_RANGE[1] - LOG_RANGE[0]) / GRID;
  let [best, bestValue] = [LOG_RANGE[0], -Infinity];
  for (let k = 0; k <= GRID; k++) {
    const value = objective(LOG_RANGE[0] + k * step);
    if (value > bestValue) [best, bestValue] = [LOG_RANGE[0] + k * step, value];
  }
  let [low, high] = [best - step, best + step];
  for (let k = 0; k < 30; k++) {
    const [left, right] = [high - GOLDEN * (high - low), low + GOLDEN * (high - low)];
    if (objective(left) > objective(right)) high = right;
    else low = left;
  }
  return Math.min(Math.max(0.5 * (low + high), LOG_RANGE[0]), LOG_RANGE[1]);
}
