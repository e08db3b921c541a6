import { type ChunkKernel, type KernelMaker, ONE_THREAD, type SumThreads } from '../numeric/chunk-sums.ts';
import { isOneIn } from '../numeric/one-in-many.ts';
import type { AftData, AftFit, Family } from '../survival/aft.ts';
import type { ConditionData, ConditionFit } from './condition.ts';
import { ROWS_PER_CHUNK, WORK_OF_READING } from './condition-chunks.ts';
import { type PreparedReadings, prepareReadings } from './prepared-readings.ts';
import { type GrowthPoint, precisionFor } from './seal-integrand.ts';
import { MU, SealScore } from './seal-score.ts';
import { rowAges, ThresholdTerms } from './threshold-terms.ts';

/**
 * What each row of a fit tells of its own mean log life mu, at the fit: one entry for each row, weights left out. With
 * `oneIn` above 1 only so many rows are asked, picked evenly; the others tell nothing.
 */
export interface RowInformation {
  /** Slope of the row's log-likelihood in mu. */ readonly slope: Float64Array;
  /** Minus its curvature; may be below 0 where entry was late. */ readonly information: Float64Array;
}

/** Of rows of ages alone. */
export function ageInformation(
  data: AftData,
  fit: Pick<AftFit, 'family' | 'coefficients' | 'scale'>,
  oneIn = 1,
  threads: SumThreads = ONE_THREAD,
): RowInformation {
  return informationOf(data, { ...fit, oneIn, shares: null }, threads);
}

/** Of rows of ages and damaged shares, by a fit that uses them. */
export function conditionInformation(
  data: ConditionData,
  { life, growth, reading }: ConditionFit,
  oneIn = 1,
  threads: SumThreads = ONE_THREAD,
): RowInformation {
  if (!growth) return ageInformation(data, life, oneIn, threads);
  const { exponent, readingSd, inspectorShift } = growth;
  const shares = {
    readings: prepareReadings(data, reading),
    growth: { sigma: life.scale, exponent, readingSd, shift: inspectorShift },
  };
  return informationOf(data, { ...life, oneIn, shares }, threads);
}

type FitPoint = Pick<AftFit, 'family' | 'coefficients' | 'scale'> & Pick<InformationRows, 'oneIn' | 'shares'>;

function informationOf(
  data: AftData,
  { family, coefficients, scale, oneIn, shares }: FitPoint,
  threads: SumThreads,
): RowInformation {
  const rows = data.lower.length;
  const { entry, lower, upper } = data;
  const input = { entry, lower, upper, mu: predictorsOf(data, coefficients), family, scale, oneIn, shares };
  return threads.withSums(ROW_INFORMATION, input, (sums) => {
    const found = sums(0, new Float64Array(0));
    const part = (at: number) =>
      Float64Array.from({ length: rows }, (_, i) => {
        const chunk = Math.floor(i / ROWS_PER_CHUNK);
        return found[(2 * chunk + at) * ROWS_PER_CHUNK + (i - chunk * ROWS_PER_CHUNK)];
      });
    return { slope: part(0), information: part(1) };
  });
}

function predictorsOf({ names, intercept, covariates, lower }: AftData, coefficients: Float64Array): Float64Array {
  const width = names.length;
  const first = intercept ? 1 : 0;
  return Float64Array.from(lower, (_, i) => {
    let mu = intercept ? coefficients[0] : 0;
    for (let j = 0; j < width; j++) mu += covariates[i * width + j] * coefficients[first + j];
    return mu;
  });
}

interface InformationRows extends Pick<AftData, 'entry' | 'lower' | 'upper'> {
  /** Mean log life of each row. */ readonly mu: Float64Array;
  readonly family: Family;
  readonly scale: number;
  readonly oneIn: number;
  /** null: ages alone. */ readonly shares: {
    readonly readings: PreparedReadings;
    readonly growth: GrowthPoint;
  } | null;
}

/** The "sums" of a chunk are the slopes of its rows, then their information. */
export const ROW_INFORMATION: KernelMaker<InformationRows> = {
  name: 'row information',
  work: ({ mu, shares, oneIn }) => (mu.length + WORK_OF_READING * (shares?.readings.logAge.length ?? 0)) / oneIn,
  make: informationChunks,
};

function informationChunks(input: InformationRows): ChunkKernel {
  const { entry, lower, upper, mu, family, scale, oneIn, shares } = input;
  const rows = mu.length;
  const ages = rowAges(entry, lower, upper);
  const terms = new ThresholdTerms(ages, family);
  const modes = new Float64Array(rows).fill(Number.NaN);
  const score = shares && new SealScore(shares.readings, family, modes, precisionFor(rows));
  if (shares) score?.turnTo(shares.growth);
  const start = shares?.readings.start;
  const hasReadings = (i: number): boolean => start !== undefined && start[i] < start[i + 1];
  return {
    chunks: Math.ceil(rows / ROWS_PER_CHUNK),
    pointLength: 0,
    sumLength: 2 * ROWS_PER_CHUNK,
    sumChunk: (chunk, _wanted, _point, out, at) => {
      out.fill(0, at, at + 2 * ROWS_PER_CHUNK);
      const first = chunk * ROWS_PER_CHUNK;
      for (let i = first; i < Math.min(rows, first + ROWS_PER_CHUNK); i++) {
        if (!isOneIn(oneIn, i)) continue;
        const [slope, information] = [at + i - first, at + ROWS_PER_CHUNK + i - first];
        if (score && hasReadings(i)) {
          score.derivativesInMu(i, mu[i], ages.lowerLog[i], ages.upperLog[i]);
          terms.out.fill(0);
          out[slope] = score.first[MU];
          out[information] = -score.second[MU];
        } else terms.row(i, mu[i], scale);
        terms.addEntry(i, mu[i], scale);
        out[slope] += terms.out[1];
        out[information] -= terms.out[3];
      }
    },
  };
}
