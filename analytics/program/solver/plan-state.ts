import type { ProgramPlan } from '../program-problem.ts';
import type { FacilityPaths } from './facility-paths.ts';
import { leastJobs } from './least-jobs.ts';
import type { PathTables } from './path-tables.ts';
import { RowIndex } from './row-index.ts';
import type { Usage } from './row-set.ts';

export const NO_WORK = -1;
/** Less than that a job does not lack: rounding. */
const LEAST_LACK = 1e-9;

/** A plan that is being worked on: what is resealed when, and how much of each row that uses. By position in the layout. */
export class PlanState {
  readonly tables: PathTables;
  /** Row-major, positions x years: class, or `NO_WORK`. */ readonly work: Int8Array;
  /** As `RowSet.most` counts. */ readonly used: Float64Array;
  /** Row-major, facilities x years: segments at work, and their length, m. */
  readonly users: Int32Array;
  readonly lengthAt: Float64Array;
  /** As `leastJobs`. */ readonly leastM: Float64Array;
  readonly facility: Int32Array;
  /** Discounted mobilisation of all jobs: money. */ mobilised = 0;
  /** What jobs lack of the least length, each as a share of it. */ lacking = 0;
  readonly #index: RowIndex;

  constructor(tables: PathTables) {
    const { problem, layout, rows } = tables;
    this.tables = tables;
    this.work = new Int8Array(problem.count * problem.years).fill(NO_WORK);
    this.used = new Float64Array(rows.count);
    this.users = new Int32Array(problem.facilities.count * problem.years);
    this.lengthAt = new Float64Array(problem.facilities.count * problem.years);
    this.leastM = leastJobs(problem);
    this.facility = layout.order.map((i) => problem.facility[i]);
    this.#index = new RowIndex(rows);
    for (let p = 0; p < problem.count; p++) this.#charge(p, 1);
  }

  /** Takes the paths that a search left for a whole facility. */
  take(paths: FacilityPaths): void {
    const classes = new Int8Array(paths.years);
    for (let p = 0; p < paths.count; p++) {
      paths.classesInto(classes, p);
      this.set(paths.from + p, classes);
    }
  }

  /** Gives the segment at a position other work. */
  set(p: number, classes: Int8Array): void {
    this.#charge(p, -1);
    this.work.set(classes, p * this.tables.problem.years);
    this.#charge(p, 1);
  }

  /** Takes the work of all segments, as in `work`. */
  setAll(work: Int8Array): void {
    const { count, years } = this.tables.problem;
    for (let p = 0; p < count; p++) this.set(p, work.subarray(p * years, (p + 1) * years));
  }

  #charge(p: number, sign: number): void {
    const { problem, layout } = this.tables;
    const { years, types, type, lengthM, district, facilityKind, facilities } = problem;
    const i = layout.order[p];
    const f = this.facility[p];
    for (let t = 0; t < years; t++) {
      const c = this.work[p * years + t];
      if (c === NO_WORK) continue;
      this.#add('money', district[i], 0, t, sign * types.pricePerM[type[i] * types.classes + c] * lengthM[i]);
      this.#add('length', district[i], 0, t, sign * lengthM[i]);
      const before = this.users[f * years + t];
      this.lacking -= this.lackAt(f * years + t, 0, 0);
      this.users[f * years + t] += sign;
      this.lengthAt[f * years + t] += sign * lengthM[i];
      this.lacking += this.lackAt(f * years + t, 0, 0);
      if (before !== 0 && before + sign !== 0) continue;
      this.#add('money', facilities.district[f], 0, t, sign * facilities.mobilisationCost[f]);
      this.mobilised += sign * facilities.mobilisationCost[f] * this.tables.discount[t];
    }
    if (this.tables.countsFailed)
      for (let t = 0, end = Math.min(years, problem.goneFromYear[i]); t < end; t++)
        this.#add('failed', district[i], facilityKind[i], t, sign * this.#failed(p, i, t) * lengthM[i]);
  }

  #add(of: 'money' | 'length' | 'failed', district: number, kind: number, year: number, amount: number): void {
    const { sign, worth } = this.tables.rows;
    for (const r of this.#index.at(of, district, kind, year)) this.used[r] += sign[r] * worth[r] * amount;
  }

  /** Chance that what is in the joint at the end of year t has failed. */
  #failed(p: number, i: number, t: number): number {
    const { years, types, type, failedByYearEnd } = this.tables.problem;
    for (let s = t; s >= 0; s--) {
      const c = this.work[p * years + s];
      if (c === NO_WORK) continue;
      const curve = types.curve[type[i] * types.classes + c];
      return types.failedByAge[curve * (types.oldestAge + 1) + Math.min(t - s, types.oldestAge)];
    }
    return failedByYearEnd[i * years + t];
  }

  /** Cost of the work, risk and end of one segment at prices of usage, without mobilisation: money. */
  worth(p: number, classes: Int8Array, at: number, prices: Usage | null): number {
    const { problem, layout, discount, countsRisk, rows } = this.tables;
    const { years, types, type, failedByYearEnd } = problem;
    const i = layout.order[p];
    const cell = problem.district[i] * years;
    const failedCell = (problem.district[i] * rows.cells.kinds + problem.facilityKind[i]) * years;
    const openCost = countsRisk ? types.openCostPerMYear[type[i]] : 0;
    const end = Math.min(years, problem.goneFromYear[i]);
    let [cost, last] = [0, -1];
    for (let t = 0; t < end; t++) {
      const c = classes[at + t];
      if (c !== NO_WORK) {
        last = t;
        cost += types.pricePerM[type[i] * types.classes + c] * (discount[t] + (prices?.money[cell + t] ?? 0));
        cost += prices?.length[cell + t] ?? 0;
      } else {
        const curve = last < 0 ? 0 : types.curve[type[i] * types.classes + classes[at + last]] * (types.oldestAge + 1);
        const failed =
          last < 0 ? failedByYearEnd[i * years + t] : types.failedByAge[curve + Math.min(t - last, types.oldestAge)];
        cost += failed * (openCost * discount[t] + (prices?.failed[failedCell + t] ?? 0));
      }
    }
    if (countsRisk && end === years) {
      const final = (type[i] * types.classes + classes[at + last]) * (years + 1) + years - 1 - last;
      cost += last < 0 ? problem.finalCostIfNeverPerM[i] : types.finalCostPerM[final] * discount[years - 1];
    }
    return cost * problem.lengthM[i];
  }

  /** Cost of the whole plan: money. */
  objective(): number {
    const { count, years } = this.tables.problem;
    let sum = this.mobilised;
    for (let p = 0; p < count; p++) sum += this.worth(p, this.work, p * years, null);
    return sum;
  }

  /** What a facility-year would lack, as a share of its least job, with so many more segments of so much length. */
  lackAt(at: number, segments: number, lengthM: number): number {
    const least = this.leastM[at];
    if (least === 0 || this.users[at] + segments === 0) return 0;
    const lack = least - this.lengthAt[at] - lengthM;
    return lack > LEAST_LACK * least ? lack / least : 0;
  }

  /** Rows that are over, each as a share of its size, and jobs that are too small (as `PlanFigures.missed`). */
  missed(): number {
    const { most, tolerance } = this.tables.rows;
    let sum = this.lacking > LEAST_LACK ? this.lacking : 0;
    for (let r = 0; r < most.length; r++) {
      const over = this.used[r] - most[r];
      if (over > tolerance[r]) sum += (1e-6 * over) / tolerance[r];
    }
    return sum;
  }

  plan(): ProgramPlan {
    const { problem, layout } = this.tables;
    const { years } = problem;
    const position = new Int32Array(problem.count);
    for (let p = 0; p < problem.count; p++) position[layout.order[p]] = p;
    let n = 0;
    for (const c of this.work) if (c !== NO_WORK) n++;
    const plan = { segment: new Int32Array(n), year: new Int32Array(n), sealantClass: new Int32Array(n) };
    for (let i = 0, at = 0; i < problem.count; i++)
      for (let t = 0; t < years; t++) {
        const c = this.work[position[i] * years + t];
        if (c === NO_WORK) continue;
        [plan.segment[at], plan.year[at], plan.sealantClass[at]] = [i, t, c];
        at++;
      }
    return plan;
  }
}
