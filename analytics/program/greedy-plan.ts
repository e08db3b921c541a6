import { planFromWorks } from './plan-index.ts';
import type { PlannedWork } from './program-comparison.ts';
import { type ProgramPlan, type ProgramProblem, WORK } from './program-problem.ts';
import { YearLimits } from './year-limits.ts';

/** Rank of a segment for work in a year after its last work in the plan; higher goes first, null: not up for work. */
export type WorkRank = (i: number, year: number, last: PlannedWork | null) => number | null;

/**
 * Year by year: settled work, then segments by rank for as long as the year's upper bounds have room. A segment that does
 * not fit is passed over for the next. Where a job would be under the least one, the highest-ranked neighbours of the facility
 * join it; where they do not suffice there is none. Equal ranks go by index. The class is the cheapest in the long run.
 */
export function greedyPlan(problem: ProgramProblem, rank: WorkRank): ProgramPlan {
  const works: PlannedWork[][] = Array.from({ length: problem.count }, () => []);
  const classOf = cheapestClasses(problem);
  for (let year = 0; year < problem.years; year++) new GreedyYear(problem, year, works, rank, classOf).fill();
  return planFromWorks(works);
}

class GreedyYear {
  private readonly problem: ProgramProblem;
  private readonly year: number;
  private readonly works: PlannedWork[][];
  private readonly limits: YearLimits;
  private readonly classOf: (i: number) => number;
  private readonly rank: WorkRank;

  constructor(problem: ProgramProblem, year: number, works: PlannedWork[][], rank: WorkRank, classOf: Int32Array) {
    this.problem = problem;
    this.year = year;
    this.works = works;
    this.rank = rank;
    this.limits = new YearLimits(problem, year);
    this.classOf = (i) => (this.isRequired(i) && problem.requiredClass[i] >= 0 ? problem.requiredClass[i] : classOf[i]);
  }

  fill(): void {
    const { problem } = this;
    for (let i = 0; i < problem.count; i++) if (this.isRequired(i)) this.book([i], true);
    const ranked = this.ranked();
    const waiting = problem.minimumJobM > 0 ? byFacility(problem, ranked) : new Map<number, number[]>();
    for (const i of ranked) {
      if (this.isDone(i)) continue;
      const job = this.limits.hasWork(problem.facility[i]) ? [i] : this.leastJob(i, waiting);
      if (job) this.book(job, false);
    }
  }

  private ranked(): number[] {
    const { problem, year, works } = this;
    const ranks = new Float64Array(problem.count);
    const open: number[] = [];
    for (let i = 0; i < problem.count; i++) {
      if (problem.work[i * problem.years + year] !== WORK.allowed) continue;
      const value = this.rank(i, year, works[i].at(-1) ?? null);
      if (value === null) continue;
      ranks[i] = value;
      open.push(i);
    }
    return open.sort((a, b) => ranks[b] - ranks[a] || a - b);
  }

  /** The segment with as many neighbours as make a job; null: too few. */
  private leastJob(i: number, waiting: ReadonlyMap<number, readonly number[]>): number[] | null {
    const { problem } = this;
    const job = [i];
    let lengthM = problem.lengthM[i];
    for (const j of waiting.get(problem.facility[i]) ?? []) {
      if (lengthM >= problem.minimumJobM) break;
      if (j === i || this.isDone(j)) continue;
      job.push(j);
      lengthM += problem.lengthM[j];
    }
    return lengthM >= problem.minimumJobM ? job : null;
  }

  private book(members: readonly number[], anyway: boolean): void {
    const { limits, works, year, classOf } = this;
    if (anyway) limits.takeAnyway(members, classOf);
    else if (!limits.take(members, classOf)) return;
    for (const i of members) works[i].push({ year, sealantClass: classOf(i) });
  }

  private isDone(i: number): boolean {
    return this.works[i].at(-1)?.year === this.year;
  }

  private isRequired(i: number): boolean {
    return this.problem.work[i * this.problem.years + this.year] === WORK.required;
  }
}

function byFacility({ facility }: ProgramProblem, ranked: readonly number[]): Map<number, number[]> {
  const lists = new Map<number, number[]>();
  for (const i of ranked) {
    const list = lists.get(facility[i]);
    if (list) list.push(i);
    else lists.set(facility[i], [i]);
  }
  return lists;
}

/** Class of each segment that costs least from a reseal on: its price and what follows a new seal. -1: none is allowed. */
export function cheapestClasses({ count, years, types, type }: ProgramProblem): Int32Array {
  const best = Int32Array.from({ length: types.count }, (_, t) => {
    let [cheapest, least] = [-1, Number.POSITIVE_INFINITY];
    for (let c = 0; c < types.classes; c++) {
      const at = t * types.classes + c;
      const cost = types.pricePerM[at] + types.finalCostPerM[at * (years + 1)];
      if (types.curve[at] >= 0 && cost < least) [cheapest, least] = [c, cost];
    }
    return cheapest;
  });
  return Int32Array.from({ length: count }, (_, i) => best[type[i]]);
}
