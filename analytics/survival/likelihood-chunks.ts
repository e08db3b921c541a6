import { type ChunkKernel, chunkBounds, type KernelMaker } from '../numeric/chunk-sums.ts';
import type { Family } from './aft.ts';
import { newRowScore, rowScores } from './row-scores.ts';
import { type FamilyTerms, familyTerms, newTerms } from './row-terms.ts';
import { type Design, EXACT, INTERVAL, LEFT, RIGHT } from './standardise.ts';

/** What a chunk is summed for. */
export const VALUE = 0;
export const DERIVATIVES = 1;

/** Large enough that adding up the chunks costs nothing beside them, small enough for two threads to end together. */
const ROWS_PER_CHUNK = 4096;

/** Sums of one chunk: value, gradient (size), lower triangle of the Hessian by rows (size x size). */
export const sumLengthOf = (size: number): number => 1 + size + size * size;

/**
 * The log-likelihood of a design without its constant, in chunks of whole patterns.
 * The point is delta, then tau (see `logLikelihood`).
 */
export function likelihoodChunks(design: Design, terms: FamilyTerms): ChunkKernel {
  const bounds = chunkBounds(design.patternStart, ROWS_PER_CHUNK);
  const size = design.kept.length + 1;
  const sumValue = valueOfChunk(design, terms);
  const sumDerivatives = derivativesOfChunk(design, terms);
  return {
    chunks: bounds.length - 1,
    pointLength: size,
    sumLength: sumLengthOf(size),
    sumChunk: (chunk, wanted, point, out, at) => {
      const sum = wanted === VALUE ? sumValue : sumDerivatives;
      sum(bounds[chunk], bounds[chunk + 1], point, out, at);
    },
  };
}

export const LIFE_SUMS: KernelMaker<{ readonly design: Design; readonly family: Family }> = {
  name: 'life',
  work: ({ design }) => design.kind.length,
  make: ({ design, family }) => likelihoodChunks(design, familyTerms(family)),
};

/** Sums over the patterns from `from` up to, not with, `to`. */
type PatternSums = (from: number, to: number, point: Float64Array, out: Float64Array, at: number) => void;

function valueOfChunk(design: Design, terms: FamilyTerms): PatternSums {
  const { columns, patternStart, kind, weight, entryLog, lowerLog, upperLog, logRatio } = design;
  const width = design.kept.length;
  const row = newTerms();
  return (from, to, point, out, at) => {
    const tau = point[width];
    const logTau = Math.log(tau);
    let total = 0;
    for (let k = from; k < to; k++) {
      let eta = 0;
      for (let j = 0; j < width; j++) eta += columns[k * width + j] * point[j];
      for (let i = patternStart[k]; i < patternStart[k + 1]; i++) {
        let value = 0;
        if (kind[i] === INTERVAL) value = terms.intervalValue(tau * lowerLog[i] - eta, tau * logRatio[i]);
        else if (kind[i] === RIGHT) {
          if (lowerLog[i] !== -Infinity) value = terms.rightValue(tau * lowerLog[i] - eta);
        } else {
          (kind[i] === LEFT ? terms.left : terms.exact)(tau * upperLog[i] - eta, row);
          value = kind[i] === EXACT ? row[0] + logTau : row[0];
        }
        if (entryLog[i] !== -Infinity) value -= terms.rightValue(tau * entryLog[i] - eta);
        total += weight[i] * value;
      }
    }
    out[at] = total;
  };
}

function derivativesOfChunk(design: Design, terms: FamilyTerms): PatternSums {
  const { columns, patternStart, weight } = design;
  const width = design.kept.length;
  const size = width + 1;
  const score = rowScores(design, terms);
  const row = newRowScore();
  // Arrays of its own, which nobody else can write to, take a sixth off the time.
  const at = new Float64Array(size);
  const x = new Float64Array(width);
  const sums = new Float64Array(sumLengthOf(size));
  return (from, to, point, out, place) => {
    at.set(point);
    sums.fill(0);
    const gradient = 1;
    const hessian = gradient + size;
    const tauRow = hessian + width * size;
    const tau = at[width];
    for (let k = from; k < to; k++) {
      let eta = 0;
      for (let j = 0; j < width; j++) {
        const value = columns[k * width + j];
        x[j] = value;
        eta += value * at[j];
      }
      let value = 0;
      let e = 0;
      let t = 0;
      let ee = 0;
      let et = 0;
      let tt = 0;
      for (let i = patternStart[k]; i < patternStart[k + 1]; i++) {
        const w = weight[i];
        score(i, eta, tau, row);
        value += w * row[0];
        e += w * row[1];
        t += w * row[2];
        ee += w * row[3];
        et += w * row[4];
        tt += w * row[5];
      }
      sums[0] += value;
      sums[gradient + width] += t;
      sums[tauRow + width] += tt;
      for (let j = 0; j < width; j++) {
        const value = x[j];
        if (value === 0) continue;
        sums[gradient + j] += e * value;
        sums[tauRow + j] += et * value;
        const scaled = ee * value;
        const hessianRow = hessian + j * size;
        for (let m = 0; m <= j; m++) sums[hessianRow + m] += scaled * x[m];
      }
    }
    out.set(sums, place);
  };
}
