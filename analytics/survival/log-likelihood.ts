import type { Family } from './aft.ts';
import { standardCumulativeHazard } from './families.ts';
import { familyTerms, newTerms } from './row-terms.ts';
import { type Design, EXACT, LEFT, RIGHT } from './standardise.ts';

/**
 * Log-likelihood of every kind of row, in delta = beta / sigma (length k = design.kept.length) and tau = 1 / sigma,
 * where z = tau y - x'delta. Without delayed entry it is concave in these (Burridge 1981, J. R. Statist. Soc. B 43).
 * With delayed entry a row counts given that it was sound at its entry age.
 */
export interface LogLikelihood {
  readonly value: (delta: Float64Array, tau: number) => number;
  /** Overwrites gradient (k + 1) and hessian ((k + 1) x (k + 1), row-major), tau last. */
  readonly derivatives: (delta: Float64Array, tau: number, gradient: Float64Array, hessian: Float64Array) => number;
}

export function logLikelihood(design: Design, family: Family): LogLikelihood {
  return { value: valueFor(design, family), derivatives: derivativesFor(design, family) };
}

function valueFor(design: Design, family: Family): LogLikelihood['value'] {
  const { columns, patternStart, kind, weight, entryLog, lowerLog, upperLog, logRatio } = design;
  const width = design.kept.length;
  const terms = familyTerms(family);
  const out = newTerms();
  let exactWeight = 0;
  for (let i = 0; i < kind.length; i++) if (kind[i] === EXACT) exactWeight += weight[i];

  return (delta, tau) => {
    let total = design.constant + exactWeight * Math.log(tau);
    for (let k = 0; k + 1 < patternStart.length; k++) {
      let eta = 0;
      for (let j = 0; j < width; j++) eta += columns[k * width + j] * delta[j];
      let sum = 0;
      for (let i = patternStart[k]; i < patternStart[k + 1]; i++) {
        let value: number;
        if (kind[i] === RIGHT) {
          value = lowerLog[i] === -Infinity ? 0 : -standardCumulativeHazard(family, tau * lowerLog[i] - eta);
        } else if (kind[i] === LEFT || kind[i] === EXACT) {
          (kind[i] === LEFT ? terms.left : terms.exact)(tau * upperLog[i] - eta, out);
          value = out[0];
        } else {
          value = terms.intervalValue(tau * lowerLog[i] - eta, tau * logRatio[i]);
        }
        if (entryLog[i] !== -Infinity) value += standardCumulativeHazard(family, tau * entryLog[i] - eta);
        sum += weight[i] * value;
      }
      total += sum;
    }
    return total;
  };
}

function derivativesFor(design: Design, family: Family): LogLikelihood['derivatives'] {
  const { columns, patternStart, kind, weight, entryLog, lowerLog, upperLog, logRatio } = design;
  const width = design.kept.length;
  const size = width + 1;
  const terms = familyTerms(family);
  const out = newTerms();
  // Sums over the rows of one pattern: value and the derivatives in the predictor (e) and tau (t).
  let value = 0;
  let e = 0;
  let t = 0;
  let ee = 0;
  let et = 0;
  let tt = 0;

  const addSingle = (y: number, w: number): void => {
    value += w * out[0];
    e -= w * out[1];
    t += w * out[1] * y;
    ee += w * out[2];
    et -= w * out[2] * y;
    tt += w * out[2] * y * y;
  };
  const addInterval = (y: number, ratio: number, w: number): void => {
    value += w * out[0];
    e -= w * out[1];
    t += w * (out[1] * y + out[2] * ratio);
    ee += w * out[3];
    et -= w * (out[3] * y + out[4] * ratio);
    tt += w * (out[3] * y * y + 2 * out[4] * ratio * y + out[5] * ratio * ratio);
  };
  const addRow = (i: number, eta: number, tau: number): void => {
    const w = weight[i];
    if (kind[i] === RIGHT) {
      if (lowerLog[i] !== -Infinity) {
        terms.right(tau * lowerLog[i] - eta, out);
        addSingle(lowerLog[i], w);
      }
    } else if (kind[i] === LEFT) {
      terms.left(tau * upperLog[i] - eta, out);
      addSingle(upperLog[i], w);
    } else if (kind[i] === EXACT) {
      terms.exact(tau * upperLog[i] - eta, out);
      addSingle(upperLog[i], w);
      value += w * Math.log(tau);
      t += w / tau;
      tt -= w / (tau * tau);
    } else {
      terms.interval(tau * lowerLog[i] - eta, tau * logRatio[i], out);
      addInterval(lowerLog[i], logRatio[i], w);
    }
    if (entryLog[i] !== -Infinity) {
      terms.right(tau * entryLog[i] - eta, out);
      addSingle(entryLog[i], -w);
    }
  };

  return (delta, tau, gradient, hessian) => {
    gradient.fill(0);
    hessian.fill(0);
    let total = design.constant;
    for (let k = 0; k + 1 < patternStart.length; k++) {
      let eta = 0;
      for (let j = 0; j < width; j++) eta += columns[k * width + j] * delta[j];
      value = e = t = ee = et = tt = 0;
      for (let i = patternStart[k]; i < patternStart[k + 1]; i++) addRow(i, eta, tau);
      total += value;
      for (let j = 0; j < width; j++) {
        const x = columns[k * width + j];
        if (x === 0) continue;
        gradient[j] += e * x;
        hessian[width * size + j] += et * x;
        const scaled = ee * x;
        for (let m = 0; m <= j; m++) hessian[j * size + m] += scaled * columns[k * width + m];
      }
      gradient[width] += t;
      hessian[width * size + width] += tt;
    }
    for (let j = 0; j < size; j++) for (let m = 0; m < j; m++) hessian[m * size + j] = hessian[j * size + m];
    return total;
  };
}
