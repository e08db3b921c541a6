import { type ProgramProblem, WORK } from '../program-problem.ts';
import { leastJobs } from './least-jobs.ts';
import { discountFactors } from './path-tables.ts';
import type { RowSet } from './row-set.ts';

/** A mixed-integer program in compressed columns, and what its columns mean. */
export interface ExactModel {
  readonly columns: number;
  readonly modelRows: number;
  readonly cost: Float64Array;
  readonly upper: Float64Array;
  readonly integer: Int32Array;
  readonly rowLower: Float64Array;
  readonly rowUpper: Float64Array;
  readonly starts: Int32Array;
  readonly indices: Int32Array;
  readonly values: Float64Array;
  /** Segment, year and class of a column that is a reseal; segment -1: it is none. */
  readonly segment: Int32Array;
  readonly year: Int32Array;
  readonly sealantClass: Int8Array;
  /** Money in one unit of the model's cost. */ readonly unit: number;
  /** Columns by which a row may be missed: from here on, one for each row, when `elastic`. */
  readonly firstSlack: number;
}

export interface ModelOptions {
  /** Rows may be missed; the cost is what is missed, and no money. */ readonly elastic: boolean;
  /** Bounds of the rows, `rows.most` or wider ones. */ readonly most: Float64Array;
  /** Leaves out what a proof says is in no best plan. */
  readonly keepsLeg?: (segment: number, from: number, to: number, sealantClass: number) => boolean;
}

/**
 * The whole program for a general solver. A segment is a path: one column for each first reseal and for each reseal with
 * the year of the next (years: none) and its class; one more for a facility at work in a year.
 */
export function exactModel(problem: ProgramProblem, rows: RowSet, options: ModelOptions): ExactModel {
  return new ModelBuilder(problem, rows, options).build();
}

/** A job of exactly the least length must not be lost to rounding. */
const LEEWAY = 1e-7;

class ModelBuilder {
  readonly #problem: ProgramProblem;
  readonly #rows: RowSet;
  readonly #options: ModelOptions;
  readonly #discount: Float64Array;
  readonly #unit: number;
  readonly #meanLengthM: number;
  readonly #columns: { cost: number; upper: number; integer: number; segment: number; year: number; class: number }[] =
    [];
  readonly #starts: number[] = [0];
  readonly #indices: number[] = [];
  readonly #values: number[] = [];
  /** Rows of the problem by what they are of and when, so that a column finds those that it uses. */
  readonly #rowsAt: Map<string, number[]>;
  /** First model row of each part. */
  readonly #at: { balance: number; opened: number; facility: number };
  readonly #risk: boolean;

  constructor(problem: ProgramProblem, rows: RowSet, options: ModelOptions) {
    this.#problem = problem;
    this.#rows = rows;
    this.#options = options;
    this.#discount = discountFactors(problem.discountRatePerYear, problem.years);
    this.#risk = problem.objective === 'least-cost';
    this.#unit = typicalCost(problem);
    this.#meanLengthM = problem.lengthM.reduce((sum, x) => sum + x, 0) / Math.max(1, problem.count);
    const { count, years } = problem;
    const balance = rows.count;
    const opened = balance + count * (years + 1);
    this.#at = { balance, opened, facility: opened + count * years };
    this.#rowsAt = new Map();
    for (let r = 0; r < rows.count; r++) {
      const key = `${rows.of[r]} ${rows.year[r]}`;
      this.#rowsAt.set(key, [...(this.#rowsAt.get(key) ?? []), r]);
    }
  }

  build(): ExactModel {
    const [problem, rows] = [this.#problem, this.#rows];
    for (let i = 0; i < problem.count; i++) this.#addSegment(i);
    const least = leastJobs(problem);
    for (let f = 0; f < problem.facilities.count; f++)
      for (let t = 0; t < problem.years; t++) this.#addFacilityYear(f, t, least[f * problem.years + t]);
    const firstSlack = this.#columns.length;
    if (this.#options.elastic) for (let r = 0; r < rows.count; r++) this.#addSlack(r);
    return { ...this.#bounds(), ...this.#columnArrays(), firstSlack };
  }

  #columnArrays() {
    const columns = this.#columns;
    return {
      columns: columns.length,
      cost: Float64Array.from(columns, ({ cost }) => cost),
      upper: Float64Array.from(columns, ({ upper }) => upper),
      integer: Int32Array.from(columns, ({ integer }) => integer),
      starts: Int32Array.from(this.#starts),
      indices: Int32Array.from(this.#indices),
      values: Float64Array.from(this.#values),
      segment: Int32Array.from(columns, ({ segment }) => segment),
      year: Int32Array.from(columns, ({ year }) => year),
      sealantClass: Int8Array.from(columns, (column) => column.class),
      unit: this.#unit,
    };
  }

  #bounds(): { modelRows: number; rowLower: Float64Array; rowUpper: Float64Array } {
    const { count, years, facilities } = this.#problem;
    const modelRows = this.#at.facility + facilities.count * years;
    const rowLower = new Float64Array(modelRows).fill(Number.NEGATIVE_INFINITY);
    const rowUpper = new Float64Array(modelRows);
    const rows = this.#rows;
    for (let r = 0; r < rows.count; r++) rowUpper[r] = this.#options.most[r] / this.#rowUnit(r);
    for (let i = 0; i < count; i++) {
      rowLower.fill(0, this.#balance(i, 0), this.#balance(i, years));
      rowLower[this.#balance(i, years)] = 1;
      rowUpper[this.#balance(i, years)] = 1;
    }
    return { modelRows, rowLower, rowUpper };
  }

  /** Model row that balances a segment's path in a year; `years`: it sets out. */
  #balance(i: number, t: number): number {
    return this.#at.balance + i * (this.#problem.years + 1) + t;
  }

  #rowUnit(r: number): number {
    return this.#rows.tolerance[r] * 1e6;
  }

  #begin(cost: number, integer: number, work: { segment: number; year: number; class: number } | null): void {
    const money = this.#options.elastic ? 0 : cost / this.#unit;
    this.#columns.push({ cost: money, upper: 1, integer, ...(work ?? { segment: -1, year: -1, class: -1 }) });
  }

  #entry(row: number, value: number): void {
    this.#indices.push(row);
    this.#values.push(value);
  }

  #end(): void {
    this.#starts.push(this.#indices.length);
  }

  #charge(of: 'money' | 'length' | 'failed', year: number, district: number, kind: number, amount: number): void {
    if (amount === 0) return;
    const rows = this.#rows;
    for (const r of this.#rowsAt.get(`${of} ${year}`) ?? []) {
      if (rows.district[r] >= 0 && rows.district[r] !== district) continue;
      if (rows.kind[r] >= 0 && rows.kind[r] !== kind) continue;
      this.#entry(r, (rows.sign[r] * rows.worth[r] * amount) / this.#rowUnit(r));
    }
  }

  #addSegment(i: number): void {
    const { years, lengthM, failedByYearEnd, finalCostIfNeverPerM, types, type, work } = this.#problem;
    const end = Math.min(years, this.#problem.goneFromYear[i]);
    const failed = (t: number) => failedByYearEnd[i * years + t];
    const right = (t: number) => work[i * years + t];
    for (let t = 0; t <= end; t++) {
      if (t < end && right(t) === WORK.barred) continue;
      const final = t < end || end < years || !this.#risk ? 0 : finalCostIfNeverPerM[i] * lengthM[i];
      // Whole numbers follow from the reseals; said outright, since HiGHS 1.15.3 presolved one such model to a wrong optimum.
      this.#begin(final + this.#openCost(i, 0, t, failed), 1, null);
      this.#entry(this.#balance(i, years), 1);
      if (t < end) this.#entry(this.#balance(i, t), 1);
      this.#chargeFailed(i, 0, t, failed);
      this.#end();
      if (t < end && right(t) === WORK.required) break;
    }
    for (let t = 0; t < end; t++) {
      if (right(t) === WORK.barred) continue;
      for (let c = 0; c < types.classes; c++) {
        if (types.curve[type[i] * types.classes + c] < 0) continue;
        const bound = right(t) === WORK.required ? this.#problem.requiredClass[i] : -1;
        if (bound < 0 || bound === c) this.#addReseals(i, t, c, end);
      }
    }
  }

  #addReseals(i: number, t: number, c: number, end: number): void {
    const { years, lengthM, types, type, work, district, facilityKind } = this.#problem;
    const k = type[i] * types.classes + c;
    const curve = types.curve[k] * (types.oldestAge + 1);
    const failed = (u: number) => types.failedByAge[curve + Math.min(u - t, types.oldestAge)];
    const money = types.pricePerM[k] * lengthM[i];
    for (let u = t + 1; u <= end; u++) {
      const right = u < end ? work[i * years + u] : WORK.allowed;
      const keeps = this.#options.keepsLeg?.(i, t, u < end ? u : years, c) ?? true;
      if (right === WORK.barred) continue;
      if (!keeps && right === WORK.required) break;
      if (!keeps) continue;
      const finals = u === end && end === years && this.#risk;
      const final = finals ? types.finalCostPerM[k * (years + 1) + years - 1 - t] * this.#discount[years - 1] : 0;
      const cost = money * this.#discount[t] + final * lengthM[i] + this.#openCost(i, t + 1, u, failed);
      this.#begin(cost, 1, { segment: i, year: t, class: c });
      this.#entry(this.#balance(i, t), -1);
      if (u < end) this.#entry(this.#balance(i, u), 1);
      this.#entry(this.#at.opened + i * years + t, 1);
      this.#entry(this.#at.facility + this.#problem.facility[i] * years + t, -lengthM[i] / this.#meanLengthM);
      this.#charge('money', t, district[i], facilityKind[i], money);
      this.#charge('length', t, district[i], facilityKind[i], lengthM[i]);
      this.#chargeFailed(i, t + 1, u, failed);
      this.#end();
      if (right === WORK.required) break;
    }
  }

  #openCost(i: number, from: number, to: number, failed: (t: number) => number): number {
    if (!this.#risk) return 0;
    let sum = 0;
    for (let t = from; t < to; t++) sum += failed(t) * this.#discount[t];
    return sum * this.#problem.types.openCostPerMYear[this.#problem.type[i]] * this.#problem.lengthM[i];
  }

  #chargeFailed(i: number, from: number, to: number, failed: (t: number) => number): void {
    const { district, facilityKind, lengthM } = this.#problem;
    for (let t = from; t < to; t++) this.#charge('failed', t, district[i], facilityKind[i], failed(t) * lengthM[i]);
  }

  /** At work if any segment is (x <= y), and then with the least job (length of all x >= least y). */
  #addFacilityYear(f: number, t: number, leastM: number): void {
    const { facilities, facility, count, years, lengthM } = this.#problem;
    const money = facilities.mobilisationCost[f];
    this.#begin(money * this.#discount[t], 1, null);
    let shortest = Number.POSITIVE_INFINITY;
    for (let i = 0; i < count; i++) {
      if (facility[i] !== f) continue;
      shortest = Math.min(shortest, lengthM[i]);
      this.#entry(this.#at.opened + i * years + t, -1);
    }
    if (shortest < Number.POSITIVE_INFINITY)
      this.#entry(this.#at.facility + f * years + t, (Math.max(leastM, shortest) * (1 - LEEWAY)) / this.#meanLengthM);
    this.#charge('money', t, facilities.district[f], -1, money);
    this.#end();
  }

  #addSlack(r: number): void {
    this.#columns.push({ cost: 1, upper: Number.POSITIVE_INFINITY, integer: 0, segment: -1, year: -1, class: -1 });
    this.#entry(r, -1);
    this.#end();
  }
}

/** Mean over segments of the dearest thing that one may do once: brings costs near 1. */
function typicalCost({ types, lengthM, type, count, facilities }: ProgramProblem): number {
  let sum = facilities.mobilisationCost.reduce((all, cost) => all + cost, 0);
  for (let i = 0; i < count; i++) {
    let most = types.openCostPerMYear[type[i]];
    for (let k = type[i] * types.classes; k < (type[i] + 1) * types.classes; k++)
      if (types.curve[k] >= 0) most = Math.max(most, types.pricePerM[k]);
    sum += most * lengthM[i];
  }
  return sum > 0 ? sum / Math.max(1, count) : 1;
}
