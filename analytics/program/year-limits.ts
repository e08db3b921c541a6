import type { ProgramLimit, ProgramProblem } from './program-problem.ts';

/** Room left under the upper bounds of one year, and what is already worked at each facility. */
export class YearLimits {
  private readonly rows: readonly { readonly limit: ProgramLimit; left: number }[];
  private readonly problem: ProgramProblem;
  private readonly classOf: (i: number) => number;
  private readonly atWorkM = new Map<number, number>();

  /** @param classOf sealant class that a segment would be resealed with */
  constructor(problem: ProgramProblem, year: number, classOf: (i: number) => number) {
    this.problem = problem;
    this.classOf = classOf;
    this.rows = problem.limits
      .filter((limit) => limit.year === year && limit.atMost !== null)
      .map((limit) => ({ limit, left: limit.atMost ?? 0 }));
  }

  /** Length worked at a facility so far, m. */
  workedM(facility: number): number {
    return this.atWorkM.get(facility) ?? 0;
  }

  /** Whether some segments of one facility fit, with its mobilisation if they are the first. */
  hasRoom(members: readonly number[]): boolean {
    return this.rows.every(({ limit, left }) => {
      const need = this.need(limit, members);
      return need <= left + 1e-9 * Math.abs(left) || need === 0;
    });
  }

  /** Books them, whatever the bounds say. */
  take(members: readonly number[]): void {
    for (const row of this.rows) row.left -= this.need(row.limit, members);
    const { facility, lengthM } = this.problem;
    for (const i of members) this.atWorkM.set(facility[i], this.workedM(facility[i]) + lengthM[i]);
  }

  private need({ of, district }: ProgramLimit, members: readonly number[]): number {
    const { lengthM, types, type, facilities, facility } = this.problem;
    const counts = (where: number) => district === null || district === where;
    let sum = 0;
    for (const i of members) {
      if (!counts(this.problem.district[i])) continue;
      sum += of === 'length' ? lengthM[i] : lengthM[i] * types.pricePerM[type[i] * types.classes + this.classOf(i)];
    }
    const at = facility[members[0]];
    const mobilises = of === 'money' && !this.atWorkM.has(at) && counts(facilities.district[at]);
    return mobilises ? sum + facilities.mobilisationCost[at] : sum;
  }
}
