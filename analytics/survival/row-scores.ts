import { exponential, exponentialLessOne } from '../numeric/exponential.ts';
import { type FamilyTerms, familyTerms, newTerms } from './row-terms.ts';
import { type Design, INTERVAL, LEFT, RIGHT } from './standardise.ts';

/**
 * One row's part of the log-likelihood, without the constant of exact ages: [value, derivative in the predictor eta,
 * in tau, second derivatives eta-eta, eta-tau, tau-tau], where z = tau y - eta. Not weighted.
 */
export type RowScore = Float64Array;
export const newRowScore = (): RowScore => new Float64Array(6);

/** Writes the score of row i of a design at (eta, tau) into out; allocates nothing. */
export function rowScores(
  design: Design,
  terms: FamilyTerms,
): (i: number, eta: number, tau: number, out: RowScore) => void {
  const { kind, entryLog, lowerLog, upperLog, logRatio } = design;
  const part = newTerms();
  const isWeibull = terms === familyTerms('weibull');

  const setSingle = (y: number, out: RowScore): void => {
    out[0] = part[0];
    out[1] = -part[1];
    out[2] = part[1] * y;
    out[3] = part[2];
    out[4] = -part[2] * y;
    out[5] = part[2] * y * y;
  };

  return (i, eta, tau, out) => {
    if (kind[i] === INTERVAL) {
      const y = lowerLog[i];
      const ratio = logRatio[i];
      if (isWeibull) setWeibullInterval(y, ratio, eta, tau, out);
      else {
        terms.interval(tau * y - eta, tau * ratio, part);
        out[0] = part[0];
        out[1] = -part[1];
        out[2] = part[1] * y + part[2] * ratio;
        out[3] = part[3];
        out[4] = -(part[3] * y + part[4] * ratio);
        out[5] = part[3] * y * y + 2 * part[4] * ratio * y + part[5] * ratio * ratio;
      }
    } else if (kind[i] === RIGHT) {
      if (lowerLog[i] === -Infinity) out.fill(0);
      else {
        terms.right(tau * lowerLog[i] - eta, part);
        setSingle(lowerLog[i], out);
      }
    } else if (kind[i] === LEFT) {
      terms.left(tau * upperLog[i] - eta, part);
      setSingle(upperLog[i], out);
    } else {
      terms.exact(tau * upperLog[i] - eta, part);
      setSingle(upperLog[i], out);
      out[0] += Math.log(tau);
      out[2] += 1 / tau;
      out[5] -= 1 / (tau * tau);
    }
    if (entryLog[i] !== -Infinity) {
      const y = entryLog[i];
      terms.right(tau * y - eta, part);
      out[0] -= part[0];
      out[1] += part[1];
      out[2] -= part[1] * y;
      out[3] -= part[2];
      out[4] += part[2] * y;
      out[5] -= part[2] * y * y;
    }
  };
}

/** The Weibull's interval terms and what they make of a row in one, for they take most of the time of a fit. */
function setWeibullInterval(y: number, ratio: number, eta: number, tau: number, out: RowScore): void {
  const lower = exponential(tau * y - eta);
  const growth = lower * exponentialLessOne(tau * ratio);
  const failing = -exponentialLessOne(-growth);
  const inverse = (1 - failing) / failing;
  const share = inverse === 0 ? 0 : growth * inverse;
  const slopeUpper = inverse === 0 ? 0 : inverse * (lower + growth);
  const first = share - lower;
  const second = first - share * (share + growth);
  const mixed = slopeUpper * (1 - share - growth) * ratio;
  out[0] = Math.log(failing) - lower;
  out[1] = -first;
  out[2] = first * y + slopeUpper * ratio;
  out[3] = second;
  out[4] = -(second * y + mixed);
  out[5] = (second * y + 2 * mixed) * y + slopeUpper * (1 - slopeUpper - lower - growth) * ratio * ratio;
}
