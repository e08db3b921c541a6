import {
  type DueGroup,
  DueTables,
  dueGroups,
  type FallsDue,
  type FallsDueInput,
  type FallsDueOptions,
} from '../forecast/falls-due.ts';
import type { SegmentForecasts } from '../forecast/forecast-segments.ts';
import type { YearShocks } from '../forecast/year-shocks.ts';
import { type ChunkSums, ONE_THREAD, type SumThreads } from '../numeric/chunk-sums.ts';
import type { LifeKnowledge, LifeModel } from './life-model.ts';
import { newForecasts } from './mean-forecast.ts';
import { CHUNK_SEGMENTS, CHUNKS_PER_CALL, OUTLOOK_CHUNKS, OutlookPlaces, type OutlookRows } from './outlook-chunks.ts';

export interface OutlookInput extends FallsDueInput, LifeKnowledge {
  /** 1 where resealing is planned; the others are forecast only. Left out: all are. */ readonly planned?: Uint8Array;
}

export interface OutlookOptions extends FallsDueOptions {
  /** Draws of which the chance of having failed by now is kept for each segment. */ readonly keptDraws: Int32Array;
  /** Years as these draws meet them, one for each; left out: all years are average. */
  readonly keptShocks?: YearShocks | null;
}

/** All that a model says of a network. */
export interface Outlook {
  /** Of the planned segments. */ readonly due: FallsDue;
  /** Of all segments. */ readonly forecasts: SegmentForecasts;
  /** Chance of having failed by the planning date, row-major, segments x kept draws. */ readonly nowChances: Float32Array;
}

interface Running {
  /** Whoever works through the chunks; left out: this thread alone, with the same bits. */ readonly threads?: SumThreads;
  /** Called with the share of segments done, 0 to 1; what it throws ends the work. */
  readonly onProgress?: (shareDone: number) => void;
}

/**
 * What falls due, and the forecast of every segment, in one pass: chances under each draw cost most of the time, and both
 * rest on the same ones. Segments of one group are worked through in chunks, each with its own random numbers.
 * @throws RangeError when array lengths do not fit, or a reading has no meaning
 */
export function networkOutlook(
  input: OutlookInput,
  model: LifeModel,
  options: OutlookOptions,
  { threads = ONE_THREAD, onProgress }: Running = {},
): Outlook {
  const chunks = chunksOf(input);
  const { yearLeft, horizonYears, failureThresholdShare, damageRule, closeDraws } = options;
  const { keptDraws, keptShocks, yearShocks, seed } = options;
  const { district: _d, sealantClass: _c, costPerM: _p, planned: _planned, lengthM, ...known } = input;
  const rows: OutlookRows = {
    ...{ known, model, lengthM, yearShocks, keptDraws, keptShocks, seed },
    options: { yearLeft, horizonYears, failureThresholdShare, damageRule, closeDraws },
    members: Int32Array.from(chunks.flatMap(({ members }) => members)),
    chunkStart: startsOf(chunks.map(({ members }) => members.length)),
    due: Uint8Array.from(chunks, ({ group }) => Number(group !== null)),
  };
  const tables = new DueTables(model.draws.draws, options);
  const out = {
    forecasts: newForecasts(input.count, horizonYears + 1),
    nowChances: new Float32Array(input.count * keptDraws.length),
  };
  const places = new OutlookPlaces(rows);
  threads.withSums(OUTLOOK_CHUNKS, rows, (sums) => {
    for (let from = 0; from < chunks.length; from += CHUNKS_PER_CALL) {
      takeChunks(sums, chunks, from, { tables, places, out });
      onProgress?.(rows.chunkStart[Math.min(chunks.length, from + CHUNKS_PER_CALL)] / input.count);
    }
  });
  return { due: tables.summarise(), ...out };
}

interface Chunk {
  /** null: not planned. */ readonly group: DueGroup | null;
  readonly members: readonly number[];
}

/** Groups in their order, then what is not planned, cut into chunks. */
function chunksOf(input: OutlookInput): Chunk[] {
  const { planned } = input;
  const groups: Chunk[] = dueGroups(input, (i) => planned === undefined || planned[i] === 1).map((group) => ({
    group,
    members: group.members,
  }));
  const others = Array.from({ length: input.count }, (_, i) => i).filter(
    (i) => planned !== undefined && planned[i] === 0,
  );
  return [...groups, { group: null, members: others }].flatMap(({ group, members }) =>
    Array.from({ length: Math.ceil(members.length / CHUNK_SEGMENTS) }, (_, k) => ({
      group,
      members: members.slice(k * CHUNK_SEGMENTS, (k + 1) * CHUNK_SEGMENTS),
    })),
  );
}

function startsOf(lengths: readonly number[]): Int32Array {
  const out = new Int32Array(lengths.length + 1);
  lengths.forEach((length, k) => {
    out[k + 1] = out[k] + length;
  });
  return out;
}

interface Taking {
  readonly tables: DueTables;
  readonly places: OutlookPlaces;
  readonly out: { readonly forecasts: ReturnType<typeof newForecasts>; readonly nowChances: Float32Array };
}

function takeChunks(sums: ChunkSums, chunks: readonly Chunk[], from: number, { tables, places, out }: Taking): void {
  const all = sums(0, Float64Array.of(from));
  const { lengths, perSegment, yearEnds, sumLength } = places;
  const { forecasts, nowChances } = out;
  const kept = perSegment - yearEnds - 4;
  for (let offset = 0; offset < CHUNKS_PER_CALL && from + offset < chunks.length; offset++) {
    const { group, members } = chunks[from + offset];
    const start = offset * sumLength;
    if (group) tables.add(group, all.subarray(start, start + lengths));
    for (const [k, i] of members.entries()) {
      const at = start + lengths + k * perSegment;
      forecasts.failedByYearEnd.set(all.subarray(at, at + yearEnds), i * yearEnds);
      forecasts.failedNow[i] = all[at + yearEnds];
      forecasts.medianYears[i] = all[at + yearEnds + 1];
      forecasts.lowerYears[i] = all[at + yearEnds + 2];
      forecasts.upperYears[i] = all[at + yearEnds + 3];
      nowChances.set(all.subarray(at + yearEnds + 4, at + yearEnds + 4 + kept), i * kept);
    }
  }
}
