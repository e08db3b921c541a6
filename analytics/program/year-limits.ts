import type { ProgramLimit, ProgramProblem } from './program-problem.ts';

/** Room left under the upper bounds of one year. */
export class YearLimits {
  private readonly rows: readonly { readonly limit: ProgramLimit; left: number }[];
  private readonly problem: ProgramProblem;
  private readonly atWork = new Set<number>();

  constructor(problem: ProgramProblem, year: number) {
    this.problem = problem;
    this.rows = problem.limits
      .filter((limit) => limit.year === year && limit.atMost !== null)
      .map((limit) => ({ limit, left: limit.atMost ?? 0 }));
  }

  /** Whether a facility has work in the year. */
  hasWork(facility: number): boolean {
    return this.atWork.has(facility);
  }

  /** Takes what some segments of one facility need, with its mobilisation if they are the first; false: no room for all. */
  take(members: readonly number[], classOf: (i: number) => number): boolean {
    const needs = this.rows.map(({ limit }) => this.need(limit, members, classOf));
    if (this.rows.some(({ left }, r) => needs[r] > 0 && needs[r] > left + 1e-9 * Math.abs(left))) return false;
    this.book(needs, members);
    return true;
  }

  /** The same for settled work, which is done whatever the limits say. */
  takeAnyway(members: readonly number[], classOf: (i: number) => number): void {
    this.book(
      this.rows.map(({ limit }) => this.need(limit, members, classOf)),
      members,
    );
  }

  private book(needs: readonly number[], members: readonly number[]): void {
    for (const [r, row] of this.rows.entries()) row.left -= needs[r];
    for (const i of members) this.atWork.add(this.problem.facility[i]);
  }

  private need({ of, district }: ProgramLimit, members: readonly number[], classOf: (i: number) => number): number {
    const { lengthM, types, type, facilities, facility } = this.problem;
    const counts = (where: number) => district === null || district === where;
    let sum = 0;
    for (const i of members) {
      if (!counts(this.problem.district[i])) continue;
      sum += of === 'length' ? lengthM[i] : lengthM[i] * types.pricePerM[type[i] * types.classes + classOf(i)];
    }
    const at = facility[members[0]];
    const mobilises = of === 'money' && !this.atWork.has(at) && counts(facilities.district[at]);
    return mobilises ? sum + facilities.mobilisationCost[at] : sum;
  }
}
