import type { ChunkKernel, KernelMaker } from '../numeric/chunk-sums.ts';
import { isOneIn } from '../numeric/one-in-many.ts';
import type { AftData, Family } from '../survival/aft.ts';
import { DERIVATIVES, sumLengthOf } from '../survival/likelihood-chunks.ts';
import type { PreparedReadings } from './prepared-readings.ts';
import { DesignRows, RowSums, type ThetaPlaces } from './row-sums.ts';
import { precisionFor } from './seal-integrand.ts';
import { SealScore } from './seal-score.ts';
import { rowAges, ThresholdTerms } from './threshold-terms.ts';

export interface ConditionRows {
  readonly data: Pick<AftData, 'entry' | 'lower' | 'upper' | 'weight'>;
  readonly rows: Pick<DesignRows, 'columns' | 'offset' | 'width'>;
  readonly readings: PreparedReadings;
  readonly family: Family;
  readonly places: ThetaPlaces;
  /** One for each row: where the search for its likeliest y starts; NaN at first. Written to. */ readonly modes: Float64Array;
}

export const ROWS_PER_CHUNK = 1024;
/** A reading takes as long as so many rows of a fit of ages alone. */
export const WORK_OF_READING = 30;

/** The point of the sums: that one row in `oneIn` counts, theta with the shifts of inspectors, and these centred. */
export function conditionPoint(oneIn: number, theta: Float64Array, shift: Float64Array): Float64Array {
  const point = new Float64Array(1 + theta.length + shift.length);
  point[0] = oneIn;
  point.set(theta, 1);
  point.set(shift, 1 + theta.length);
  return point;
}

/**
 * Marginal log-likelihood of seals with their shares, in chunks of rows. Derivatives are those in theta, with c in place of
 * b. Rows without readings use the terms of the threshold fit.
 */
export const CONDITION_SUMS: KernelMaker<ConditionRows> = {
  name: 'condition',
  work: ({ data, readings }) => data.lower.length + WORK_OF_READING * readings.logAge.length,
  make: conditionChunks,
};

function conditionChunks({ data, rows: parts, readings, family, places, modes }: ConditionRows): ChunkKernel {
  const rows = new DesignRows(parts.columns, parts.offset, parts.width);
  const ages = rowAges(data.entry, data.lower, data.upper);
  const threshold = new ThresholdTerms(ages, family);
  const count = data.lower.length;
  const seals = new SealScore(readings, family, modes, precisionFor(count));
  const { size } = places;
  const sumLength = sumLengthOf(size);
  const hasReadings = (i: number): boolean => readings.start[i] < readings.start[i + 1];

  /** Log-likelihood of row `i`; `threshold.out` and `seals` then hold its derivatives where these are `wanted`. */
  const valueOfRow = (i: number, mu: number, sigma: number, wanted: number): number => {
    let value = 0;
    if (hasReadings(i)) {
      const low = ages.lowerLog[i];
      const high = ages.upperLog[i];
      value = wanted === DERIVATIVES ? seals.derivatives(i, mu, low, high) : seals.value(i, mu, low, high);
      threshold.out.fill(0);
    } else threshold.row(i, mu, sigma);
    threshold.addEntry(i, mu, sigma);
    return value + threshold.out[0];
  };

  return {
    chunks: Math.ceil(count / ROWS_PER_CHUNK),
    pointLength: 1 + size + places.inspectors,
    sumLength,
    sumChunk: (chunk, wanted, point, out, at) => {
      const oneIn = point[0];
      const theta = point.subarray(1, 1 + size);
      const sigma = places.logSigma < 0 ? 1 : Math.exp(theta[places.logSigma]);
      seals.turnTo({
        sigma,
        exponent: Math.exp(theta[places.logExponent]),
        readingSd: Math.exp(theta[places.logReadingSd]),
        shift: point.subarray(1 + size),
      });
      out.fill(0, at, at + sumLength);
      const hessian = at + 1 + size;
      const sums = new RowSums(places, rows, out.subarray(at + 1, hessian), out.subarray(hessian, at + sumLength));
      let total = 0;
      for (let i = chunk * ROWS_PER_CHUNK; i < Math.min(count, (chunk + 1) * ROWS_PER_CHUNK); i++) {
        if (!isOneIn(oneIn, i)) continue;
        const weight = data.weight[i];
        total += weight * valueOfRow(i, rows.predictor(i, theta), sigma, wanted);
        if (wanted !== DERIVATIVES) continue;
        if (hasReadings(i)) sums.addSeal(i, weight, seals);
        sums.addThreshold(i, weight, threshold.out);
      }
      out[at] = total;
    },
  };
}
