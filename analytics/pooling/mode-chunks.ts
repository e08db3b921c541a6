import type { ChunkKernel, ChunkSums, KernelMaker } from '../numeric/chunk-sums.ts';
import type { AftPrior, Family } from '../survival/aft.ts';
import { familyTerms } from '../survival/row-terms.ts';
import { modeFinder, type PenalisedMode, type Spread } from './penalised-mode.ts';
import type { PooledRows } from './pooled-rows.ts';

/** A mode that is wanted: for which spread, and where to look first. */
export interface ModeWanted {
  readonly spread: Spread;
  readonly from: Float64Array;
}

export interface ModesInput {
  readonly rows: PooledRows;
  readonly family: Family;
  readonly prior: AftPrior | null;
  readonly fixedScale: boolean;
  /** Modes that are sought at a time, at most. */ readonly most: number;
}

/** A mode of one row takes as long as so many rows of a step of a fit. */
const WORK_OF_ROW = 20;

/** Modes that do not depend on one another, one for each chunk; a chunk's "sums" are the mode itself. */
export const POOLED_MODES: KernelMaker<ModesInput> = {
  name: 'pooled modes',
  work: ({ rows, most }) => WORK_OF_ROW * rows.design.kind.length * most,
  make: modeChunks,
};

/** Places in the point of one mode: whether it is wanted, log sigma, the standard deviations, then `from`. */
const WANTED = 0;
const LOG_SIGMA = 1;
const FIRST_SD = 2;
/** Places in what is told of one mode: whether it was found, three numbers, then where it is. */
const FOUND = 0;
const FIRST_AT = 4;

const sizeOf = ({ groupings, design }: PooledRows): number =>
  groupings.reduce((sum, { levels }) => sum + levels.length, design.kept.length);

function modeChunks({ rows, family, prior, fixedScale, most }: ModesInput): ChunkKernel {
  const finder = modeFinder(rows, familyTerms(family), prior, fixedScale);
  const groups = rows.groupings.length;
  const size = sizeOf(rows);
  const pointStride = FIRST_SD + groups + size;
  return {
    chunks: most,
    pointLength: most * pointStride,
    sumLength: FIRST_AT + size,
    sumChunk: (chunk, _wanted, point, out, at) => {
      const own = point.subarray(chunk * pointStride, (chunk + 1) * pointStride);
      out[at + FOUND] = 0;
      if (own[WANTED] === 0) return;
      const spread = { logSigma: own[LOG_SIGMA], sds: [...own.subarray(FIRST_SD, FIRST_SD + groups)] };
      const mode = finder.find(spread, own.subarray(FIRST_SD + groups));
      if (!mode) return;
      out.set([1, mode.value, mode.logDeterminant, mode.logDeterminantOfCoefficients], at);
      out.set(mode.at, at + FIRST_AT);
    },
  };
}

/** null where no mode with positive information was found. */
export type FindModes = (wanted: readonly ModeWanted[]) => (PenalisedMode | null)[];

/** @param sums of `POOLED_MODES` for the same rows, by whichever threads */
export function modesBySums(sums: ChunkSums, { rows, most }: Pick<ModesInput, 'rows' | 'most'>): FindModes {
  const groups = rows.groupings.length;
  const size = sizeOf(rows);
  const pointStride = FIRST_SD + groups + size;
  const stride = FIRST_AT + size;
  const point = new Float64Array(most * pointStride);

  const find = (wanted: readonly ModeWanted[]): (PenalisedMode | null)[] => {
    for (let p = 0; p < most; p++) point[p * pointStride + WANTED] = Number(p < wanted.length);
    wanted.forEach(({ spread, from }, p) => {
      point.set([1, spread.logSigma, ...spread.sds], p * pointStride);
      point.set(from, p * pointStride + FIRST_SD + groups);
    });
    const all = sums(0, point);
    return wanted.map((_, p) => {
      const [found, value, logDeterminant, logDeterminantOfCoefficients] = all.subarray(p * stride);
      const at = all.slice(p * stride + FIRST_AT, (p + 1) * stride);
      return found === 1 ? { at, value, logDeterminant, logDeterminantOfCoefficients } : null;
    });
  };
  return (wanted) => {
    const found: (PenalisedMode | null)[] = [];
    for (let p = 0; p < wanted.length; p += most) found.push(...find(wanted.slice(p, p + most)));
    return found;
  };
}
