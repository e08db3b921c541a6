import type { ProgramProblem } from '../program-problem.ts';

/**
 * Limits and targets as rows of one kind: what a plan uses, times `sign`, may be `most`. Each is in money or its worth, so
 * that prices of all rows are of one size: metres count at the mean price of resealing one, shares as failed metres.
 */
export interface RowSet {
  readonly count: number;
  readonly of: readonly ('money' | 'length' | 'failed')[];
  readonly year: Int32Array;
  /** -1: all. */ readonly district: Int32Array;
  /** -1: all. */ readonly kind: Int32Array;
  /** 1: at most; -1: at least. */ readonly sign: Float64Array;
  readonly most: Float64Array;
  /** Worth of one unit of usage (money, m or failed m) in money. */ readonly worth: Float64Array;
  /** Usage over this is what the bound is given in: sealed length for shares, 1 otherwise. */
  readonly per: Float64Array;
  /** A row is kept if it is over by no more. */ readonly tolerance: Float64Array;
  /** Index into limits, then targets. */ readonly source: Int32Array;
  readonly cells: CellCount;
  /** Mean price of resealing one metre with the cheapest class: money. */ readonly metrePrice: number;
}

/** How districts, kinds of facility and years are laid out in a `Usage`. */
export interface CellCount {
  readonly districts: number;
  readonly kinds: number;
  readonly years: number;
}

/** What a plan uses; or, read as prices, what one unit of each costs. */
export interface Usage {
  /** Row-major, districts x years. */ readonly money: Float64Array;
  /** Row-major, districts x years: m resealed. */ readonly length: Float64Array;
  /** Row-major, districts x kinds x years: m failed at the year's end. */ readonly failed: Float64Array;
}

export const emptyUsage = ({ districts, kinds, years }: CellCount): Usage => ({
  money: new Float64Array(districts * years),
  length: new Float64Array(districts * years),
  failed: new Float64Array(districts * kinds * years),
});

export function clearUsage(usage: Usage): void {
  usage.money.fill(0);
  usage.length.fill(0);
  usage.failed.fill(0);
}

interface Draft {
  of: 'money' | 'length' | 'failed';
  year: number;
  district: number;
  kind: number;
  sign: number;
  bound: number;
  per: number;
  source: number;
}

/** Rows of the problem's limits and targets. A target of a part without any sealed length is left out: nothing can fail. */
export function rowSet(problem: ProgramProblem): RowSet {
  const cells = cellCount(problem);
  const sealed = sealedLengths(problem, cells);
  const drafts = [...limitDrafts(problem), ...targetDrafts(problem, cells, sealed)];
  const metre = meanPricePerM(problem);
  const of = drafts.map((row) => row.of);
  const worth = Float64Array.from(drafts, (row) => (row.of === 'money' ? 1 : metre));
  const most = Float64Array.from(drafts, (row, r) => row.sign * row.bound * row.per * worth[r]);
  const least = metre * Math.max(1e-9, mean(problem.lengthM));
  return {
    count: drafts.length,
    of,
    year: Int32Array.from(drafts, (row) => row.year),
    district: Int32Array.from(drafts, (row) => row.district),
    kind: Int32Array.from(drafts, (row) => row.kind),
    sign: Float64Array.from(drafts, (row) => row.sign),
    most,
    worth,
    per: Float64Array.from(drafts, (row) => row.per),
    tolerance: most.map((bound) => 1e-6 * Math.max(Math.abs(bound), least)),
    source: Int32Array.from(drafts, (row) => row.source),
    cells,
    metrePrice: metre,
  };
}

function limitDrafts(problem: ProgramProblem): Draft[] {
  return problem.limits.flatMap((limit, source) => {
    const row = { of: limit.of, year: limit.year, district: limit.district ?? -1, kind: -1, per: 1, source };
    const most = limit.atMost === null ? [] : [{ ...row, sign: 1, bound: limit.atMost }];
    const least = limit.atLeast === null || limit.atLeast <= 0 ? [] : [{ ...row, sign: -1, bound: limit.atLeast }];
    return [...most, ...least];
  });
}

function targetDrafts(problem: ProgramProblem, cells: CellCount, sealed: Float64Array): Draft[] {
  return problem.targets.flatMap((target, t) => {
    const district = target.scope === 'district' ? target.index : -1;
    const kind = target.scope === 'facility-kind' ? target.index : -1;
    const per = overCells(cells, district, kind, (cell) => sealed[cell]);
    const source = problem.limits.length + t;
    const row: Draft = {
      of: 'failed',
      year: target.year,
      district,
      kind,
      sign: 1,
      bound: target.atMostShare,
      per,
      source,
    };
    return per > 0 ? [row] : [];
  });
}

function cellCount({ district, facilityKind, facilities, limits, targets, years }: ProgramProblem): CellCount {
  let [districts, kinds] = [0, 0];
  for (const d of district) districts = Math.max(districts, d + 1);
  for (const d of facilities.district) districts = Math.max(districts, d + 1);
  for (const k of facilityKind) kinds = Math.max(kinds, k + 1);
  for (const limit of limits) districts = Math.max(districts, (limit.district ?? 0) + 1);
  for (const { scope, index } of targets) {
    if (scope === 'district') districts = Math.max(districts, index + 1);
    if (scope === 'facility-kind') kinds = Math.max(kinds, index + 1);
  }
  return { districts: Math.max(1, districts), kinds: Math.max(1, kinds), years };
}

function sealedLengths(problem: ProgramProblem, { districts, kinds }: CellCount): Float64Array {
  const sealed = new Float64Array(districts * kinds);
  for (let i = 0; i < problem.count; i++)
    sealed[problem.district[i] * kinds + problem.facilityKind[i]] += problem.lengthM[i];
  return sealed;
}

/** Sum over the cells (district x kind) that a scope covers. */
function overCells({ districts, kinds }: CellCount, district: number, kind: number, at: (cell: number) => number) {
  let sum = 0;
  for (let d = 0; d < districts; d++) {
    if (district >= 0 && d !== district) continue;
    for (let k = 0; k < kinds; k++) if (kind < 0 || k === kind) sum += at(d * kinds + k);
  }
  return sum;
}

/** Writes what each row is used, in money's worth and with its sign, so that `out[r] <= rows.most[r]` keeps it. */
export function rowUsageInto(out: Float64Array, rows: RowSet, usage: Usage): void {
  const { cells } = rows;
  for (let r = 0; r < rows.count; r++) {
    const [year, district, of] = [rows.year[r], rows.district[r], rows.of[r]];
    const used =
      of === 'failed'
        ? overCells(cells, district, rows.kind[r], (cell) => usage.failed[cell * cells.years + year])
        : overDistricts(usage[of], cells, district, year);
    out[r] = rows.sign[r] * rows.worth[r] * used;
  }
}

function overDistricts(used: Float64Array, { districts, years }: CellCount, district: number, year: number): number {
  if (district >= 0) return used[district * years + year];
  let sum = 0;
  for (let d = 0; d < districts; d++) sum += used[d * years + year];
  return sum;
}

/** Writes what one unit of money, one metre worked and one failed metre cost in each cell, for row prices of 0 or more. */
export function cellPricesInto(out: Usage, rows: RowSet, prices: Float64Array): void {
  clearUsage(out);
  const { districts, kinds, years } = rows.cells;
  for (let r = 0; r < rows.count; r++) {
    const price = prices[r] * rows.sign[r] * rows.worth[r];
    if (price === 0) continue;
    const [of, year] = [rows.of[r], rows.year[r]];
    for (let d = 0; d < districts; d++) {
      if (rows.district[r] >= 0 && d !== rows.district[r]) continue;
      if (of !== 'failed') out[of][d * years + year] += price;
      else
        for (let k = 0; k < kinds; k++)
          if (rows.kind[r] < 0 || k === rows.kind[r]) out.failed[(d * kinds + k) * years + year] += price;
    }
  }
}

/** Prices of rows as prices of the problem's limits and targets, for one unit of their bounds. */
export function boundPrices(problem: ProgramProblem, rows: RowSet, prices: Float64Array): Float64Array {
  const out = new Float64Array(problem.limits.length + problem.targets.length);
  for (let r = 0; r < rows.count; r++) out[rows.source[r]] += prices[r] * rows.sign[r] * rows.worth[r] * rows.per[r];
  return out;
}

/** The reverse: prices of the problem's limits and targets as prices of rows, 0 or more. */
export function rowPrices(problem: ProgramProblem, rows: RowSet, prices: Float64Array): Float64Array {
  if (prices.length !== problem.limits.length + problem.targets.length)
    throw new RangeError(`prices has ${prices.length} entries; expected one for each limit and target`);
  const { sign, worth, per, source } = rows;
  return Float64Array.from({ length: rows.count }, (_, r) =>
    Math.max(0, prices[source[r]] / (sign[r] * worth[r] * per[r])),
  );
}

function meanPricePerM({ count, lengthM, type, types }: ProgramProblem): number {
  let [cost, length] = [0, 0];
  for (let i = 0; i < count; i++) {
    const price = leastPricePerM(types, type[i]);
    if (price === null) continue;
    cost += price * lengthM[i];
    length += lengthM[i];
  }
  return cost > 0 ? cost / length : 1;
}

function leastPricePerM({ classes, curve, pricePerM }: ProgramProblem['types'], type: number): number | null {
  let least = Number.POSITIVE_INFINITY;
  for (let k = type * classes; k < (type + 1) * classes; k++) if (curve[k] >= 0) least = Math.min(least, pricePerM[k]);
  return least < Number.POSITIVE_INFINITY ? least : null;
}

const mean = (values: Float64Array): number => values.reduce((sum, x) => sum + x, 0) / Math.max(1, values.length);
