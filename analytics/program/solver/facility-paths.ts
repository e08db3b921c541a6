import { WORK } from '../program-problem.ts';
import type { PathTable, PathTables } from './path-tables.ts';
import type { Usage } from './row-set.ts';

/**
 * Cheapest paths of the segments of one facility when only some years are open for work there. All values are per metre.
 * A path is the years of its reseals; the class of each follows from the next (`PathTable.legClass`).
 */
export class FacilityPaths {
  readonly tables: PathTables;
  readonly years: number;
  /** Segments of the facility at hand. */ count = 0;
  /** Position in the layout of the first. */ from = 0;
  lengthM = new Float64Array(0);
  table: PathTable[] = [];
  /** Row-major, count x years: open cost until a first reseal in that year; infinite where it may not be. */
  first = new Float64Array(0);
  /** Cost without any reseal; infinite where it may not be. */ rest = new Float64Array(0);
  /** Row-major: 1 where the segment may be worked. */ may = new Uint8Array(0);
  /** Cost of the cheapest path of each segment. */ value = new Float64Array(0);
  /** Row-major: 1 where that path reseals. */ path = new Uint8Array(0);
  /** What each closed year would save if it were open, and each open one costs if it were closed: money. */
  readonly addGain: Float64Array;
  readonly dropLoss: Float64Array;
  /** Segments that work in each year. */ readonly users: Int32Array;
  readonly #toGo: Float64Array;
  readonly #next: Int8Array;
  readonly #reach: Float64Array;
  readonly #openDown: Int8Array;
  readonly #openUp: Int8Array;

  constructor(tables: PathTables) {
    this.tables = tables;
    this.years = tables.problem.years;
    const each = () => new Float64Array(this.years);
    [this.addGain, this.dropLoss, this.#toGo, this.#reach] = [each(), each(), each(), each()];
    this.users = new Int32Array(this.years);
    [this.#next, this.#openDown, this.#openUp] = [0, 0, 0].map(() => new Int8Array(this.years));
  }

  /** Takes up a facility at the prices that the tables have now. */
  load(f: number): void {
    const { problem, layout, countsRisk } = this.tables;
    const { years } = this;
    this.from = layout.start[f];
    this.count = layout.start[f + 1] - this.from;
    this.#makeRoom();
    for (let p = 0; p < this.count; p++) {
      const i = layout.order[this.from + p];
      const table = this.tables.at(layout.group[this.from + p]);
      this.table[p] = table;
      this.lengthM[p] = problem.lengthM[i];
      let open = 0;
      for (let t = 0, at = i * years, to = p * years; t < years; t++, at++, to++) {
        this.may[to] = problem.work[at] === WORK.barred ? 0 : 1;
        this.first[to] = t <= table.lastFirst && this.may[to] === 1 ? open : Number.POSITIVE_INFINITY;
        open += table.open[t] * problem.failedByYearEnd[at];
      }
      if (table.finalWeight === 1 && countsRisk) open += problem.finalCostIfNeverPerM[i];
      this.rest[p] = table.mayRest ? open : Number.POSITIVE_INFINITY;
    }
  }

  #makeRoom(): void {
    if (this.count <= this.lengthM.length) return;
    const n = Math.ceil(this.count * 1.25);
    [this.lengthM, this.rest, this.value] = [new Float64Array(n), new Float64Array(n), new Float64Array(n)];
    this.first = new Float64Array(n * this.years);
    [this.may, this.path] = [new Uint8Array(n * this.years), new Uint8Array(n * this.years)];
  }

  /**
   * Finds all cheapest paths over the open years, and what opening or closing any one year would do to them.
   * @param open one for each year, 1: open
   * @returns cost of all segments, money, without mobilisation
   */
  sweep(open: Uint8Array): number {
    this.addGain.fill(0);
    this.dropLoss.fill(0);
    this.users.fill(0);
    let sum = 0;
    for (let p = 0; p < this.count; p++) {
      const openYears = this.#backward(p, open, true, null);
      sum += this.value[p] * this.lengthM[p];
      this.#forward(p, open, null);
      this.#losses(p, openYears);
    }
    return sum;
  }

  /** Cheapest paths alone. @returns as `sweep` */
  settle(open: Uint8Array): number {
    this.users.fill(0);
    let sum = 0;
    for (let p = 0; p < this.count; p++) {
      this.#backward(p, open, false, null);
      sum += this.value[p] * this.lengthM[p];
      for (let t = 0, at = p * this.years; t < this.years; t++, at++) this.users[t] += this.path[at];
    }
    return sum;
  }

  /** Cost of all segments over the open years, and nothing else of `settle`: money. */
  costOver(open: Uint8Array): number {
    const { years, first, may } = this;
    const [toGo, down] = [this.#toGo, this.#openDown];
    let n = 0;
    for (let t = years - 1; t >= 0; t--) if (open[t] === 1) down[n++] = t;
    let sum = 0;
    for (let p = 0; p < this.count; p++) {
      const { leg } = this.table[p];
      const base = p * years;
      let best = this.rest[p];
      for (let a = 0; a < n; a++) {
        const t = down[a];
        toGo[a] = Number.POSITIVE_INFINITY;
        if (may[base + t] === 0) continue;
        const row = t * (years + 1);
        let onward = leg[row + years];
        for (let b = 0; b < a; b++) {
          const cost = leg[row + down[b]] + toGo[b];
          if (cost < onward) onward = cost;
        }
        toGo[a] = onward;
        if (first[base + t] + onward < best) best = first[base + t] + onward;
      }
      sum += best * this.lengthM[p];
    }
    return sum;
  }

  /** Cost to go from each year over open ones. Writes value and path. @returns number of open years */
  #backward(p: number, open: Uint8Array, closedToo: boolean, share: Float64Array | null): number {
    const { years, may, first, path } = this;
    const [toGo, next, down] = [this.#toGo, this.#next, this.#openDown];
    const { leg } = this.table[p];
    const base = p * years;
    let n = 0;
    for (let t = years - 1; t >= 0; t--) {
      path[base + t] = 0;
      if (may[base + t] === 0 || (open[t] === 0 && !closedToo)) {
        toGo[t] = Number.POSITIVE_INFINITY;
        continue;
      }
      const row = t * (years + 1);
      let best = leg[row + years];
      let to = years;
      for (let k = 0; k < n; k++) {
        const u = down[k];
        const cost = leg[row + u] + toGo[u];
        if (cost < best) {
          best = cost;
          to = u;
        }
      }
      toGo[t] = share === null ? best : best + share[base + t] / this.lengthM[p];
      next[t] = to;
      if (open[t] === 1) down[n++] = t;
    }
    let [best, at] = [this.rest[p], years];
    for (let k = 0; k < n; k++) {
      const t = down[k];
      const cost = first[base + t] + toGo[t];
      if (cost < best) {
        best = cost;
        at = t;
      }
    }
    this.value[p] = best;
    for (; at < years; at = next[at]) path[base + at] = 1;
    return n;
  }

  /** Cost to reach each year, and from it what a closed one would save if it were open. */
  #forward(p: number, open: Uint8Array, share: Float64Array | null): void {
    const { years, may, first, addGain } = this;
    const [toGo, reach, up] = [this.#toGo, this.#reach, this.#openUp];
    const { leg } = this.table[p];
    const [base, value, length] = [p * years, this.value[p], this.lengthM[p]];
    let n = 0;
    for (let t = 0; t < years; t++) {
      if (may[base + t] === 0) continue;
      let best = first[base + t];
      for (let k = 0; k < n; k++) {
        const cost = reach[up[k]] + leg[up[k] * (years + 1) + t];
        if (cost < best) best = cost;
      }
      reach[t] = best;
      if (open[t] === 1) {
        if (share !== null) reach[t] += share[base + t] / length;
        up[n++] = t;
      } else if (best + toGo[t] < value) addGain[t] += (value - best - toGo[t]) * length;
    }
  }

  /** What the segment's cheapest path costs more without each of its years. */
  #losses(p: number, openYears: number): void {
    const { years, path, value, lengthM, dropLoss, users } = this;
    for (let t = 0, at = p * years; t < years; t++, at++) {
      if (path[at] === 0) continue;
      users[t]++;
      dropLoss[t] += (this.#without(p, t, openYears) - value[p]) * lengthM[p];
    }
  }

  /** Cheapest path that leaves out year t: every way over it is one leg from before to after. */
  #without(p: number, t: number, openYears: number): number {
    const { years, first } = this;
    const [toGo, reach, up] = [this.#toGo, this.#reach, this.#openUp];
    const { leg } = this.table[p];
    let best = this.rest[p];
    for (let a = 0; a < openYears; a++) {
      const s = up[a];
      if (s > t) {
        const cost = first[p * years + s] + toGo[s];
        if (cost < best) best = cost;
      } else if (s < t) {
        const row = s * (years + 1);
        let onward = leg[row + years];
        for (let b = a + 1; b < openYears; b++) {
          const u = up[b];
          if (u === t) continue;
          const cost = leg[row + u] + toGo[u];
          if (u > t && cost < onward) onward = cost;
        }
        if (reach[s] + onward < best) best = reach[s] + onward;
      }
    }
    return best;
  }

  /** Adds to each segment and open year what its cheapest path costs more without that year: money. */
  lossesInto(out: Float64Array, open: Uint8Array): void {
    for (let p = 0; p < this.count; p++) {
      const openYears = this.#backward(p, open, true, null);
      this.#forward(p, open, null);
      for (let t = 0, at = p * this.years; t < this.years; t++, at++)
        if (this.path[at] === 1) out[at] += (this.#without(p, t, openYears) - this.value[p]) * this.lengthM[p];
    }
  }

  /** Adds to each segment and closed year what it would save if it were open and free, where open ones cost their share. */
  gainsInto(share: Float64Array, open: Uint8Array): void {
    const { years } = this;
    for (let p = 0; p < this.count; p++) {
      this.#backward(p, open, true, share);
      this.#forward(p, open, share);
      for (let t = 0, at = p * years; t < years; t++, at++) {
        const saved = this.value[p] - this.#reach[t] - this.#toGo[t];
        if (open[t] === 0 && this.may[at] === 1 && saved > 0) share[at] += saved * this.lengthM[p];
      }
    }
  }

  /** Class in each year of the path found last for segment p of the facility; -1: no work. */
  classesInto(out: Int8Array, p: number): void {
    const { years, path } = this;
    const { legClass } = this.table[p];
    let to = years;
    for (let t = years - 1; t >= 0; t--) {
      out[t] = -1;
      if (path[p * years + t] === 0) continue;
      out[t] = legClass[t * (years + 1) + to];
      to = t;
    }
  }

  /** Adds what the paths found last use. */
  charge(usage: Usage, countFailed: boolean): void {
    const { years } = this;
    const { problem, layout } = this.tables;
    for (let p = 0; p < this.count; p++) {
      const i = layout.order[this.from + p];
      let at = -1;
      for (let t = 0; t <= years; t++) {
        if (t < years && this.path[p * years + t] === 0) continue;
        if (at >= 0) this.#chargeLeg(usage, i, p, at, t, countFailed);
        else if (countFailed) this.#chargeFirst(usage, i, t);
        at = t;
      }
    }
    const f = problem.facility[layout.order[this.from]];
    const cell = problem.facilities.district[f] * years;
    for (let t = 0; t < years; t++)
      if (this.users[t] > 0) usage.money[cell + t] += problem.facilities.mobilisationCost[f];
  }

  #chargeFirst(usage: Usage, i: number, to: number): void {
    const { problem, rows } = this.tables;
    const { years, district, facilityKind, lengthM, failedByYearEnd, goneFromYear } = problem;
    const cell = (district[i] * rows.cells.kinds + facilityKind[i]) * years;
    const end = Math.min(to, goneFromYear[i]);
    for (let t = 0; t < end; t++) usage.failed[cell + t] += failedByYearEnd[i * years + t] * lengthM[i];
  }

  #chargeLeg(usage: Usage, i: number, p: number, from: number, to: number, countFailed: boolean): void {
    const { problem, rows } = this.tables;
    const { years, district, facilityKind, lengthM, types, type, goneFromYear } = problem;
    const k = type[i] * types.classes + this.table[p].legClass[from * (years + 1) + to];
    usage.money[district[i] * years + from] += types.pricePerM[k] * lengthM[i];
    usage.length[district[i] * years + from] += lengthM[i];
    if (!countFailed) return;
    const cell = (district[i] * rows.cells.kinds + facilityKind[i]) * years;
    const curve = types.curve[k] * (types.oldestAge + 1);
    const end = Math.min(to, goneFromYear[i]);
    for (let t = from + 1; t < end; t++)
      usage.failed[cell + t] += types.failedByAge[curve + Math.min(t - from, types.oldestAge)] * lengthM[i];
  }
}
