import { keyedSequence, keyedUniform } from '../numeric/keyed-uniform.ts';
import type { PlanIndex } from './plan-index.ts';
import type { ProgramProblem } from './program-problem.ts';
import { LASTS, type ProgramSample } from './program-sample.ts';

/** Parts of the network that failed lengths are told apart by: district and kind of facility. */
export interface NetworkCells {
  readonly districts: number;
  readonly kinds: number;
  /** Cell of each segment: district x kinds + kind. */ readonly cell: Int32Array;
  /** Sealed length of each cell, m. */ readonly sealedM: Float64Array;
}

export function networkCells({ district, facilityKind, lengthM, facilities }: ProgramProblem): NetworkCells {
  const most = (values: Int32Array) => values.reduce((high, value) => Math.max(high, value), -1) + 1;
  const districts = Math.max(most(district), most(facilities.district));
  const kinds = most(facilityKind);
  const cell = district.map((d, i) => d * kinds + facilityKind[i]);
  const sealedM = new Float64Array(districts * kinds);
  for (let i = 0; i < cell.length; i++) sealedM[cell[i]] += lengthM[i];
  return { districts, kinds, cell, sealedM };
}

/** What is failed at year ends by cell, draw and year: cells x draws x years, row-major. */
export interface FailedLengths {
  readonly draws: number;
  readonly years: number;
  /** m. */ readonly lengthM: Float64Array;
  /** What it costs in the year, constant money. */ readonly openCost: Float64Array;
}

/** Their expectation, from the chances of the problem itself: one draw. */
export function expectedFailedLengths(problem: ProgramProblem, index: PlanIndex, cells: NetworkCells): FailedLengths {
  const { count, years, types, type, goneFromYear, failedByYearEnd, lengthM } = problem;
  const out = emptyLengths(cells, 1, years);
  const add = (i: number, year: number, chance: number) => {
    const at = cells.cell[i] * years + year;
    out.lengthM[at] += lengthM[i] * chance;
    out.openCost[at] += lengthM[i] * chance * types.openCostPerMYear[type[i]];
  };
  for (let i = 0; i < count; i++) {
    const firstEnd = seasonEnd(problem, index, i, index.start[i] - 1);
    for (let t = 0; t < firstEnd; t++) add(i, t, failedByYearEnd[i * years + t]);
    for (let w = index.start[i]; w < index.start[i + 1]; w++) {
      const row = types.curve[type[i] * types.classes + index.sealantClass[w]] * (types.oldestAge + 1);
      const end = Math.min(seasonEnd(problem, index, i, w), goneFromYear[i]);
      for (let t = index.year[w] + 1; t < end; t++) add(i, t, types.failedByAge[row + t - index.year[w]]);
    }
  }
  return out;
}

/**
 * The same draw by draw. A seal fails once its chance passes its luck, and then stays failed until the next work, the end of
 * its pavement or the horizon: one look-up for each seal and draw, and two additions where it fails.
 */
export function drawnFailedLengths(
  problem: ProgramProblem,
  index: PlanIndex,
  cells: NetworkCells,
  sample: ProgramSample,
  onProgress?: (shareDone: number) => void,
): FailedLengths {
  const spans = new FailedSpans(problem, cells, sample.draws);
  const { count } = problem;
  for (let i = 0; i < count; i++) {
    const end = seasonEnd(problem, index, i, index.start[i] - 1);
    const at = i * sample.draws;
    for (let d = 0; d < sample.draws; d++) {
      const year = sample.firstFailureYear[at + d];
      if (year < end && year !== LASTS) spans.add(i, d, year, end);
    }
  }
  onProgress?.(0.3);
  addResealed(problem, index, sample, spans, (share) => onProgress?.(0.3 + 0.7 * share));
  return spans.byYear();
}

/** Year in which what follows work `w` ends: the next work of the segment, the end of its pavement, or the horizon. */
function seasonEnd({ years, goneFromYear }: ProgramProblem, { start, year }: PlanIndex, i: number, w: number): number {
  const end = Math.min(years, goneFromYear[i]);
  return w + 1 < start[i + 1] ? Math.min(end, year[w + 1]) : end;
}

/** Curve by curve, since the lives of a curve are worked out draw by draw. */
function addResealed(
  problem: ProgramProblem,
  index: PlanIndex,
  { newLives, keys, seed, draws }: ProgramSample,
  spans: FailedSpans,
  onProgress: (shareDone: number) => void,
): void {
  const works = worksByCurve(problem, index);
  let table: Float64Array = new Float64Array();
  let curve = -1;
  for (const [at, work] of works.entries()) {
    if (at % 10_000 === 0) onProgress(at / works.length);
    if (work.curve !== curve) {
      curve = work.curve;
      table = newLives.failedOf(curve);
    }
    const sequence = keyedSequence(seed, keys[work.segment], work.generation);
    const oldest = work.end - 1 - work.year;
    for (let d = 0; d < draws; d++) {
      const row = d * (newLives.oldestAge + 1);
      const luck = keyedUniform(sequence, d);
      if (oldest < 1 || table[row + oldest] <= luck) continue;
      let age = 1;
      while (table[row + age] <= luck) age++;
      spans.add(work.segment, d, work.year + age, work.end);
    }
  }
}

interface CurveWork {
  readonly curve: number;
  readonly segment: number;
  /** 1 for the first reseal of the segment. */ readonly generation: number;
  readonly year: number;
  readonly end: number;
}

function worksByCurve(problem: ProgramProblem, index: PlanIndex): CurveWork[] {
  const { count, types, type } = problem;
  const works: CurveWork[] = [];
  for (let i = 0; i < count; i++)
    for (let w = index.start[i]; w < index.start[i + 1]; w++)
      works.push({
        curve: types.curve[type[i] * types.classes + index.sealantClass[w]],
        segment: i,
        generation: w - index.start[i] + 1,
        year: index.year[w],
        end: seasonEnd(problem, index, i, w),
      });
  return works.sort((a, b) => a.curve - b.curve);
}

/** Failed lengths as differences from one year to the next, so that a span of years costs two additions. */
class FailedSpans {
  private readonly lengths: FailedLengths;
  private readonly problem: ProgramProblem;
  private readonly cell: Int32Array;

  constructor(problem: ProgramProblem, cells: NetworkCells, draws: number) {
    this.problem = problem;
    this.cell = cells.cell;
    this.lengths = emptyLengths(cells, draws, problem.years);
  }

  add(i: number, draw: number, from: number, to: number): void {
    const { lengthM: sums, openCost, draws, years } = this.lengths;
    const { lengthM, types, type } = this.problem;
    const row = (this.cell[i] * draws + draw) * years;
    const length = lengthM[i];
    const cost = length * types.openCostPerMYear[type[i]];
    sums[row + from] += length;
    openCost[row + from] += cost;
    if (to >= years) return;
    sums[row + to] -= length;
    openCost[row + to] -= cost;
  }

  byYear(): FailedLengths {
    const { lengthM, openCost, years } = this.lengths;
    for (const sums of [lengthM, openCost])
      for (let at = 0; at < sums.length; at++) if (at % years > 0) sums[at] = Math.max(0, sums[at] + sums[at - 1]);
    return this.lengths;
  }
}

const emptyLengths = ({ sealedM }: NetworkCells, draws: number, years: number): FailedLengths => ({
  draws,
  years,
  lengthM: new Float64Array(sealedM.length * draws * years),
  openCost: new Float64Array(sealedM.length * draws * years),
});
