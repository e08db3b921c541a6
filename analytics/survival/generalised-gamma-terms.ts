import { log1mexp } from './families.ts';
import {
  expm1Ratio,
  expm1Ratio2,
  generalisedGammaLogDensity,
  generalisedGammaTails,
} from './generalised-gamma-tails.ts';
import type { FamilyTerms, Terms } from './row-terms.ts';

/** Below this gap the two tails agree in most digits, and the density at the middle, with its first correction, is better. */
const NARROW_GAP = 1e-4;

/** What rows add to the log-likelihood for a given Q, and the cumulative hazard and hazard in z that go with it. */
export interface GeneralisedGammaTerms extends FamilyTerms {
  readonly cumulativeHazard: (z: number) => number;
  readonly hazard: (z: number) => number;
}

/** Derivatives in z are analytic: the log density has the slope -h(z) with h = (e^(Qz) - 1) / Q, and h' = e^(Qz). */
export function generalisedGammaTerms(q: number): GeneralisedGammaTerms {
  const tails = new Float64Array(2);
  const logDensity = (z: number): number => generalisedGammaLogDensity(z, q);
  const h = (z: number): number => z * expm1Ratio(q * z);

  const cumulativeHazard = (z: number): number => {
    generalisedGammaTails(z, q, tails);
    return tails[0];
  };
  const hazard = (z: number): number => (z === -Infinity ? 0 : Math.exp(logDensity(z) + cumulativeHazard(z)));

  const intervalValue = (zLower: number, gap: number): number => {
    if (gap < NARROW_GAP) {
      const middle = zLower + gap / 2;
      const bend = h(middle) ** 2 - Math.exp(q * middle);
      return logDensity(middle) + Math.log(gap) + Math.log1p((gap * gap * bend) / 24);
    }
    generalisedGammaTails(zLower, q, tails);
    const upperTail = tails[0];
    const lowerTail = tails[1];
    generalisedGammaTails(zLower + gap, q, tails);
    // Work in the tail that the interval leans to: the other one is nearly 1 at both ends.
    if (upperTail + tails[0] > lowerTail + tails[1]) return log1mexp(tails[0] - upperTail) - upperTail;
    return log1mexp(lowerTail - tails[1]) - tails[1];
  };

  const set = (out: Terms, value: number, first: number, second: number): void => {
    out[0] = value;
    out[1] = first;
    out[2] = second;
  };

  return {
    cumulativeHazard,
    hazard,
    right(z, out) {
      const cumulative = cumulativeHazard(z);
      const rate = Math.exp(logDensity(z) + cumulative);
      set(out, -cumulative, -rate, -rate * (rate - h(z)));
    },
    left(z, out) {
      generalisedGammaTails(z, q, tails);
      const rate = Math.exp(logDensity(z) + tails[1]);
      set(out, -tails[1], rate, -rate * (rate + h(z)));
    },
    exact(z, out) {
      set(out, logDensity(z), -h(z), -Math.exp(q * z));
    },
    interval(zLower, gap, out) {
      const zUpper = zLower + gap;
      const value = intervalValue(zLower, gap);
      const lower = Math.exp(logDensity(zLower) - value);
      const upper = Math.exp(logDensity(zUpper) - value);
      const stretch = Math.exp(q * zLower);
      const exponent = -gap * h(zLower) - stretch * gap * gap * expm1Ratio2(q * gap);
      const difference = Math.abs(exponent) < 1 ? lower * Math.expm1(exponent) : upper - lower;
      const hUpper = h(zUpper);
      out[0] = value;
      out[1] = difference;
      out[2] = upper;
      out[3] = -stretch * gap * expm1Ratio(q * gap) * lower - hUpper * difference - difference * difference;
      out[4] = -upper * (hUpper + difference);
      out[5] = -upper * (hUpper + upper);
    },
    intervalValue,
    rightValue: (z) => -cumulativeHazard(z),
  };
}
