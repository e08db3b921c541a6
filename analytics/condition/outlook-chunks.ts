import { DueGroupRun } from '../forecast/falls-due-cells.ts';
import type { ForecastOptions, SegmentForecasts } from '../forecast/forecast-segments.ts';
import { ShockedFailures, unseenYears, type YearShocks } from '../forecast/year-shocks.ts';
import type { ChunkKernel, KernelMaker } from '../numeric/chunk-sums.ts';
import { keyedSequence } from '../numeric/keyed-uniform.ts';
import { knowledgeOfSome, type LifeKnowledge, type LifeModel, lifeForecasts } from './life-model.ts';

/** What the chunks of an outlook are made from: a chunk is some segments of one group, worked through together. */
export interface OutlookRows {
  readonly known: LifeKnowledge;
  readonly model: LifeModel;
  readonly options: ForecastOptions;
  readonly lengthM: Float64Array;
  /** Places of segments, chunk after chunk. */ readonly members: Int32Array;
  /** Chunk k has the members from chunkStart[k] up to, not with, chunkStart[k + 1]. */ readonly chunkStart: Int32Array;
  /** 1 where the chunk's segments fall due; 0 where they are only forecast. */ readonly due: Uint8Array;
  /** Years that are hard or easy on all segments alike; left out: all years are average. */
  readonly yearShocks?: YearShocks | null;
  /** Draws whose chances of having failed by now are kept. */ readonly keptDraws: Int32Array;
  /** Years as these draws meet them, one for each. */ readonly keptShocks?: YearShocks | null;
  readonly seed: number;
}

/** Chunks that one call works through, from the one at its point on: between calls the caller hears of progress. */
export const CHUNKS_PER_CALL = 16;
/** Most segments of a chunk. */
export const CHUNK_SEGMENTS = 1000;
/** A segment under one draw takes as long as so many rows of a fit of ages alone. */
const WORK_OF_DRAW = 2;

/** Where the numbers of a chunk stand among its sums. */
export class OutlookPlaces {
  /** Lengths falling due: draws x years. */ readonly lengths: number;
  /** Numbers of each segment: failed by year ends, then now and quantiles, then now under the kept draws. */
  readonly perSegment: number;
  readonly yearEnds: number;
  readonly sumLength: number;

  constructor({ model, options, keptDraws }: Pick<OutlookRows, 'model' | 'options' | 'keptDraws'>) {
    this.yearEnds = options.horizonYears + 1;
    this.lengths = model.draws.draws * this.yearEnds;
    this.perSegment = this.yearEnds + 4 + keptDraws.length;
    this.sumLength = this.lengths + CHUNK_SEGMENTS * this.perSegment;
  }
}

/** What falls due of a chunk, and the forecast of each of its segments, from one pass over the draws. */
export const OUTLOOK_CHUNKS: KernelMaker<OutlookRows> = {
  name: 'outlook',
  work: ({ members, model }) => WORK_OF_DRAW * members.length * model.draws.draws,
  make: outlookChunks,
};

function outlookChunks(rows: OutlookRows): ChunkKernel {
  const { chunkStart, members, model, options, keptDraws, yearShocks, keptShocks } = rows;
  const places = new OutlookPlaces(rows);
  const now = new Float64Array(CHUNK_SEGMENTS * keptDraws.length);

  const ofKept = new Float64Array(keptDraws.length);
  const inYears = keptShocks ? new ShockedFailures(keptShocks) : null;
  const { horizonYears, yearLeft } = options;

  const sumChunk = (chunk: number, out: Float64Array): void => {
    const these = members.subarray(chunkStart[chunk], chunkStart[chunk + 1]);
    const known = knowledgeOfSome(rows.known, these);
    const { firstFailures, forecasts } = lifeForecasts(known, model, options);
    const keepNow = (k: number): void => {
      const chances = firstFailures.failedNowOf(k);
      const at = k * keptDraws.length;
      for (let d = 0; d < keptDraws.length; d++) ofKept[d] = chances[keptDraws[d]];
      inYears?.turnTo(unseenYears(known, k) + yearLeft, yearLeft);
      for (let d = 0; d < keptDraws.length; d++)
        if (inYears) inYears.into(now.subarray(at + d, at + d + 1), d, ofKept, 1, d);
        else now[at + d] = ofKept[d];
    };
    const isFailed = (k: number): boolean => !Number.isNaN(known.foundFailedAgeYears[k]);
    now.fill(1);
    if (rows.due[chunk] === 1) {
      const lengthM = Float64Array.from(these, (i) => rows.lengthM[i]);
      const seed = keyedSequence(rows.seed, chunk, 0);
      const run = new DueGroupRun({ ...known, lengthM }, model.draws, model.family, {
        ...{ firstFailures, horizonYears, yearLeft, yearShocks, seed },
      });
      out.set(run.run([...these.keys()], keepNow));
    } else for (let k = 0; k < these.length; k++) if (!isFailed(k)) keepNow(k);
    writeForecasts(out.subarray(places.lengths), forecasts(), { places, now, keptDraws: keptDraws.length });
  };

  return {
    chunks: CHUNKS_PER_CALL,
    pointLength: 1,
    sumLength: places.sumLength,
    sumChunk: (offset, _wanted, point, out, at) => {
      const chunk = point[0] + offset;
      if (chunk < rows.due.length) sumChunk(chunk, out.subarray(at, at + places.sumLength));
    },
  };
}

interface WrittenNow {
  readonly places: OutlookPlaces;
  readonly now: Float64Array;
  readonly keptDraws: number;
}

function writeForecasts(out: Float64Array, made: SegmentForecasts, { places, now, keptDraws }: WrittenNow): void {
  const { yearEnds, perSegment } = places;
  for (let k = 0; k < made.failedNow.length; k++) {
    const at = k * perSegment;
    out.set(made.failedByYearEnd.subarray(k * yearEnds, (k + 1) * yearEnds), at);
    out[at + yearEnds] = made.failedNow[k];
    out[at + yearEnds + 1] = made.medianYears[k];
    out[at + yearEnds + 2] = made.lowerYears[k];
    out[at + yearEnds + 3] = made.upperYears[k];
    out.set(now.subarray(k * keptDraws, (k + 1) * keptDraws), at + yearEnds + 4);
  }
}
