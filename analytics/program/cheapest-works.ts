import type { PlannedWork } from './program-comparison.ts';
import { type ProgramProblem, WORK } from './program-problem.ts';

/**
 * The works that cost a segment least over time when nothing else limits it: no budget, no target, no least job, and no
 * share in any mobilisation. Required work is kept, barred years are left out. Backwards through the years: what a reseal in
 * a year and all that follows it costs depends on nothing before it, so it is the same for all segments of one type whose
 * years are all free.
 */
export class CheapestWorks {
  private readonly problem: ProgramProblem;
  private readonly ofType = new Map<number, Reseals>();

  constructor(problem: ProgramProblem) {
    this.problem = problem;
  }

  of(i: number): PlannedWork[] {
    const segment = new SegmentYears(this.problem, i);
    const reseals = segment.isFree() ? this.resealsOfType(i, segment) : resealsOf(segment);
    const works: PlannedWork[] = [];
    let { year } = segment.cheapestNext(-1, -1, reseals);
    while (year !== null) {
      const step = reseals[year];
      if (step === null) break;
      works.push({ year, sealantClass: step.sealantClass });
      year = step.next;
    }
    return works;
  }

  private resealsOfType(i: number, segment: SegmentYears): Reseals {
    const type = this.problem.type[i];
    const reseals = this.ofType.get(type) ?? resealsOf(segment);
    this.ofType.set(type, reseals);
    return reseals;
  }
}

/** The cheapest way on from a reseal in each year; null: no work in that year. */
type Reseals = readonly (Continuation | null)[];

function resealsOf(segment: SegmentYears): Reseals {
  const reseals = new Array<Continuation | null>(segment.end).fill(null);
  for (let year = segment.end - 1; year >= 0; year--)
    if (segment.workIn(year) !== WORK.barred) reseals[year] = cheapestReseal(segment, reseals, year);
  return reseals;
}

/** A reseal and what follows. */
interface Continuation {
  readonly sealantClass: number;
  /** Year of the next reseal; null: none in the horizon. */ readonly next: number | null;
  /** Cost per metre, valued in the year of the reseal. */ readonly costPerM: number;
}

function cheapestReseal(segment: SegmentYears, later: Reseals, year: number): Continuation | null {
  let best: Continuation | null = null;
  for (const sealantClass of segment.classesIn(year)) {
    const next = segment.cheapestNext(year, sealantClass, later);
    const costPerM = segment.priceOf(sealantClass) + next.costPerM;
    if (best === null || costPerM < best.costPerM) best = { sealantClass, next: next.year, costPerM };
  }
  return best;
}

class SegmentYears {
  /** Years in which the segment is there. */ readonly end: number;
  private readonly problem: ProgramProblem;
  private readonly i: number;
  private readonly v: number;
  private readonly allowed: readonly number[];

  constructor(problem: ProgramProblem, i: number) {
    const { classes, curve } = problem.types;
    this.problem = problem;
    this.i = i;
    this.v = 1 / (1 + problem.discountRatePerYear);
    this.end = Math.min(problem.years, problem.goneFromYear[i]);
    const first = problem.type[i] * classes;
    this.allowed = Array.from({ length: classes }, (_, c) => c).filter((c) => curve[first + c] >= 0);
  }

  /** Whether all years of the horizon are there and may hold work of any allowed class, or none. */
  isFree(): boolean {
    const { years } = this.problem;
    for (let year = 0; year < years; year++) if (this.workIn(year) !== WORK.allowed) return false;
    return this.end === years;
  }

  workIn(year: number): number {
    return this.problem.work[this.i * this.problem.years + year];
  }

  classesIn(year: number): readonly number[] {
    const { requiredClass } = this.problem;
    const settled = this.workIn(year) === WORK.required && requiredClass[this.i] >= 0;
    return settled ? [requiredClass[this.i]] : this.allowed;
  }

  priceOf(sealantClass: number): number {
    const { type, types } = this.problem;
    return types.pricePerM[type[this.i] * types.classes + sealantClass];
  }

  /**
   * Best year of the next reseal after one in `year` with `sealantClass`; -1 and -1: after the seal in place. Costs per metre
   * from then on, valued in that year; for the seal in place one year before year 0 brought to year 0.
   */
  cheapestNext(year: number, sealantClass: number, later: Reseals): { year: number | null; costPerM: number } {
    const { v, end } = this;
    let best: { year: number | null; costPerM: number } = { year: null, costPerM: Number.POSITIVE_INFINITY };
    let [waited, factor] = [0, year < 0 ? 1 : v];
    for (let next = year + 1; next < end; next++, factor *= v) {
      const reseal = later[next];
      const costPerM = reseal ? waited + factor * reseal.costPerM : Number.POSITIVE_INFINITY;
      if (costPerM < best.costPerM) best = { year: next, costPerM };
      if (this.workIn(next) === WORK.required) return best;
      waited += factor * this.openCostPerM(year, sealantClass, next);
    }
    const never = waited + this.afterHorizon(year, sealantClass);
    return never <= best.costPerM ? { year: null, costPerM: never } : best;
  }

  private openCostPerM(from: number, sealantClass: number, year: number): number {
    const { failedByYearEnd, years, type, types } = this.problem;
    const open = types.openCostPerMYear[type[this.i]];
    if (from < 0) return open * failedByYearEnd[this.i * years + year];
    const row = types.curve[type[this.i] * types.classes + sealantClass];
    return open * types.failedByAge[row * (types.oldestAge + 1) + year - from];
  }

  private afterHorizon(year: number, sealantClass: number): number {
    const { years, type, types, finalCostIfNeverPerM } = this.problem;
    if (this.end < years) return 0;
    if (year < 0) return finalCostIfNeverPerM[this.i];
    const age = years - 1 - year;
    return types.finalCostPerM[(type[this.i] * types.classes + sealantClass) * (years + 1) + age] * this.v ** age;
  }
}
