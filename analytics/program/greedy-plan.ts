import { planFromWorks } from './plan-index.ts';
import type { PlannedWork } from './program-comparison.ts';
import { type ProgramPlan, type ProgramProblem, WORK } from './program-problem.ts';
import { failedChance } from './segment-cost.ts';
import { YearLimits } from './year-limits.ts';

/** Rank of a segment for work in a year, given its last work in the plan; higher goes first, null: not up for work. */
export type WorkRank = (i: number, year: number, last: PlannedWork | null) => number | null;

/**
 * Year by year: settled work, then segments by rank for as long as the year's upper bounds have room. A segment that does
 * not fit is passed over for the next. Where a job would be under the least one, neighbours of the facility join it: those
 * up for work first, then those that have most likely failed. Equal ranks go by index. The class is the cheapest in the long
 * run.
 */
export function greedyPlan(problem: ProgramProblem, rank: WorkRank): ProgramPlan {
  const works: PlannedWork[][] = Array.from({ length: problem.count }, () => []);
  const cheapest = cheapestClasses(problem);
  const members = problem.minimumJobM > 0 ? byFacility(problem) : [];
  for (let year = 0; year < problem.years; year++)
    new GreedyYear({ problem, year, works, rank, cheapest, members }).fill();
  return planFromWorks(works);
}

interface GreedyYearInput {
  readonly problem: ProgramProblem;
  readonly year: number;
  /** Of each segment so far; added to. */ readonly works: readonly PlannedWork[][];
  readonly rank: WorkRank;
  readonly cheapest: Int32Array;
  /** Segments of each facility. */ readonly members: readonly (readonly number[])[];
}

class GreedyYear {
  private readonly input: GreedyYearInput;
  private readonly limits: YearLimits;
  private readonly classOf: (i: number) => number;

  constructor(input: GreedyYearInput) {
    const { problem, year, cheapest } = input;
    const { requiredClass } = problem;
    this.input = input;
    this.classOf = (i) => (this.mayWork(i) === WORK.required && requiredClass[i] >= 0 ? requiredClass[i] : cheapest[i]);
    this.limits = new YearLimits(problem, year, this.classOf);
  }

  fill(): void {
    const { problem } = this.input;
    for (let i = 0; i < problem.count; i++) if (this.mayWork(i) === WORK.required) this.book([i]);
    for (const i of this.ranked()) {
      if (this.isDone(i) || !this.limits.hasRoom([i])) continue;
      const job = this.leastJob(i);
      if (this.limits.hasRoom(job)) this.book(job);
    }
  }

  private ranked(): number[] {
    const { problem, year, works, rank } = this.input;
    const ranks = new Float64Array(problem.count);
    const open: number[] = [];
    for (let i = 0; i < problem.count; i++) {
      if (this.mayWork(i) !== WORK.allowed) continue;
      const value = rank(i, year, works[i].at(-1) ?? null);
      if (value === null) continue;
      ranks[i] = value;
      open.push(i);
    }
    return open.sort((a, b) => ranks[b] - ranks[a] || a - b);
  }

  /** The segment with as many neighbours as make a job, or all that may be worked there. */
  private leastJob(i: number): number[] {
    const { problem, members } = this.input;
    const job = [i];
    let lengthM = problem.lengthM[i] + this.limits.workedM(problem.facility[i]);
    if (lengthM >= problem.minimumJobM) return job;
    for (const j of this.neighbours(members[problem.facility[i]], i)) {
      if (lengthM >= problem.minimumJobM) break;
      job.push(j);
      lengthM += problem.lengthM[j];
    }
    return job;
  }

  private neighbours(members: readonly number[], i: number): number[] {
    const { problem, year, works, rank } = this.input;
    return members
      .filter((j) => j !== i && this.mayWork(j) === WORK.allowed && !this.isDone(j))
      .map((j) => {
        const last = works[j].at(-1) ?? null;
        return { j, rank: rank(j, year, last), chance: failedChance(problem, j, year, last) };
      })
      .sort((a, b) => (b.rank ?? -1) - (a.rank ?? -1) || b.chance - a.chance || a.j - b.j)
      .map(({ j }) => j);
  }

  private book(job: readonly number[]): void {
    const { works, year } = this.input;
    this.limits.take(job);
    for (const i of job) works[i].push({ year, sealantClass: this.classOf(i) });
  }

  private isDone(i: number): boolean {
    return this.input.works[i].at(-1)?.year === this.input.year;
  }

  private mayWork(i: number): number {
    const { problem, year } = this.input;
    return problem.work[i * problem.years + year];
  }
}

function byFacility({ facility, facilities }: ProgramProblem): number[][] {
  const lists: number[][] = Array.from({ length: facilities.count }, () => []);
  facility.forEach((at, i) => {
    lists[at].push(i);
  });
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
