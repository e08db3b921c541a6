import erfc from '@stdlib/math-base-special-erfc';
import type { Interval } from '../../schemas/common.ts';
import type { NetworkColumns } from './network-columns.ts';

/** A chance from its byte: the arc-sine scale, finest near 0 and 1. */
const CHANCES = Float64Array.from({ length: 256 }, (_, byte) => Math.sin((Math.PI * byte) / 510) ** 2);

/**
 * Length that has failed by now of the rows kept, m: 10th, 50th and 90th percentile. Under one draw of the parameters
 * segments fail on their own, so lengths add up to about a normal distribution of variance sum L² p (1 - p); the draws,
 * which all segments share, are mixed. Draws are few, so their mean is brought to the expected length over all draws.
 * @param expectedM sum of length x chance over the rows kept
 * @returns null where no row has draws
 */
export function failedNowInterval(
  { lengthM, failedNowDraws, keptDraws }: Pick<NetworkColumns, 'lengthM' | 'failedNowDraws' | 'keptDraws'>,
  kept: Uint8Array,
  expectedM: number,
): Interval | null {
  const sums = new Float64Array(keptDraws);
  const variances = new Float64Array(keptDraws);
  let totalM = 0;
  for (let row = 0; row < kept.length; row++) {
    const at = row * keptDraws;
    if (kept[row] === 0 || failedNowDraws[at] === NO_DRAWS) continue;
    const length = lengthM[row];
    totalM += length;
    for (let d = 0; d < keptDraws; d++) {
      const failed = length * CHANCES[failedNowDraws[at + d]];
      sums[d] += failed;
      variances[d] += failed * (length - failed);
    }
  }
  if (totalM === 0) return null;
  const mean = sums.reduce((a, b) => a + b, 0) / keptDraws;
  const centred = mean > 0 ? sums.map((sum) => Math.min(totalM, (sum * expectedM) / mean)) : sums;
  const at = (share: number) => mixtureQuantile(centred, variances, totalM, share);
  return { median: at(0.5), lower: at(0.1), upper: at(0.9) };
}

/** Entry of a row without a forecast: 256 is no byte. */
export const NO_DRAWS = 256;

/** Quantile of equally likely normal distributions, within 0 and the whole length; by bisection. */
function mixtureQuantile(means: Float64Array, variances: Float64Array, totalM: number, share: number): number {
  const below = (x: number): number => {
    let sum = 0;
    for (let d = 0; d < means.length; d++) {
      const sd = Math.sqrt(variances[d]);
      if (sd > 0) sum += 0.5 * erfc((means[d] - x) / (sd * Math.SQRT2));
      else sum += Number(x >= means[d]);
    }
    return sum / means.length;
  };
  let [low, high] = [0, totalM];
  if (below(low) >= share) return low;
  for (let step = 0; step < 60 && high - low > 1e-9 * totalM; step++) {
    const middle = 0.5 * (low + high);
    if (below(middle) < share) low = middle;
    else high = middle;
  }
  return high;
}
