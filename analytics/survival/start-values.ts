import { type Design, EXACT, INTERVAL, RIGHT } from './standardise.ts';

/**
 * Common predictor (delta) that makes the expected number of failures, at shape `tau`, equal to the number seen.
 * Closed form for the Weibull and near enough for the others; counts delayed entry. With none seen, half a one.
 */
export function matchingPredictor(design: Design, tau: number): number {
  let exposure = 0;
  let failed = 0;
  for (let i = 0; i < design.kind.length; i++) {
    const weight = design.weight[i];
    if (design.kind[i] !== RIGHT) failed += weight;
    exposure += weight * (power(representativeLogAge(design, i), tau) - power(design.entryLog[i], tau));
  }
  const predictor = Math.log(Math.max(exposure, 1e-300) / Math.max(failed, 0.5));
  return Math.max(-50, Math.min(50, predictor));
}

const power = (logAge: number, tau: number): number => (logAge === -Infinity ? 0 : Math.exp(tau * logAge));

function representativeLogAge({ kind, lowerLog, upperLog, logRatio }: Design, i: number): number {
  if (kind[i] === RIGHT) return lowerLog[i];
  if (kind[i] === INTERVAL) return lowerLog[i] + Math.log((1 + Math.exp(logRatio[i])) / 2);
  return kind[i] === EXACT ? upperLog[i] : upperLog[i] - Math.LN2;
}
