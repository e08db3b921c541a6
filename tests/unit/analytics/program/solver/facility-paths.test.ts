import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { BranchedBound } from '../../../../../analytics/program/solver/branched-bound.ts';
import { FacilityBound } from '../../../../../analytics/program/solver/facility-bound.ts';
import { FacilityPaths } from '../../../../../analytics/program/solver/facility-paths.ts';
import { networkLayout } from '../../../../../analytics/program/solver/network-layout.ts';
import { OpenYears } from '../../../../../analytics/program/solver/open-years.ts';
import { PathTables } from '../../../../../analytics/program/solver/path-tables.ts';
import { cellPricesInto, emptyUsage, rowSet } from '../../../../../analytics/program/solver/row-set.ts';
import { randomProgram, randomShape } from './random-programs.ts';

/** One facility of a few segments in up to five years, at random prices of its rows. */
function facilityAt(seed: number) {
  const shape = { ...randomShape(seed, 12), facilities: 1, mobilisationShare: 0.3, objective: 'least-cost' as const };
  const problem = randomProgram({ ...shape, years: Math.min(5, shape.years) }, seed);
  const rows = rowSet(problem);
  const prices = emptyUsage(rows.cells);
  const price = Float64Array.from({ length: rows.count }, (_, r) => ((seed * 7 + r * 3) % 10) / 20);
  cellPricesInto(prices, rows, price);
  const tables = new PathTables(problem, networkLayout(problem, rows), rows, prices);
  const paths = new FacilityPaths(tables);
  paths.load(0);
  const mobilisation = Float64Array.from(
    { length: problem.years },
    (_, t) =>
      problem.facilities.mobilisationCost[0] *
      (tables.discount[t] + prices.money[problem.facilities.district[0] * problem.years + t]),
  );
  return { problem, tables, prices, paths, mobilisation };
}

type Facility = ReturnType<typeof facilityAt>;

/** Readable twin: the cheapest of every list of reseals in open years, with any class each. Money per metre. */
function cheapest({ problem, tables, prices }: Facility, i: number, open: readonly boolean[]): number {
  const { years, types, type, discount } = { ...problem, discount: tables.discount };
  const cell = problem.district[i] * years;
  const failedCell = (problem.district[i] * tables.rows.cells.kinds + problem.facilityKind[i]) * years;
  const end = Math.min(years, problem.goneFromYear[i]);
  const right = (t: number) => problem.work[i * years + t];
  let best = Number.POSITIVE_INFINITY;
  for (let code = 0; code < (types.classes + 1) ** years; code++) {
    const choice = Array.from(
      { length: years },
      (_, t) => (Math.floor(code / (types.classes + 1) ** t) % (types.classes + 1)) - 1,
    );
    const allowed = choice.every((c, t) => {
      if (c < 0) return right(t) !== 2;
      const asked = right(t) === 2 ? problem.requiredClass[i] : -1;
      return t < end && open[t] && right(t) !== 0 && (asked < 0 || asked === c);
    });
    if (!allowed) continue;
    let [cost, last] = [0, -1];
    for (let t = 0; t < end; t++) {
      if (choice[t] >= 0) {
        last = t;
        const k = type[i] * types.classes + choice[t];
        cost += types.pricePerM[k] * (discount[t] + prices.money[cell + t]) + prices.length[cell + t];
      }
      const k = last < 0 ? 0 : type[i] * types.classes + choice[last];
      const failed =
        last < 0
          ? problem.failedByYearEnd[i * years + t]
          : types.failedByAge[types.curve[k] * (types.oldestAge + 1) + t - last];
      cost += failed * (types.openCostPerMYear[type[i]] * discount[t] + prices.failed[failedCell + t]);
    }
    const k = last < 0 ? 0 : type[i] * types.classes + choice[last];
    if (end === years)
      cost +=
        last < 0
          ? problem.finalCostIfNeverPerM[i]
          : types.finalCostPerM[k * (years + 1) + years - 1 - last] * discount[years - 1];
    best = Math.min(best, cost);
  }
  return best;
}

const subsets = (years: number): Uint8Array[] =>
  Array.from({ length: 2 ** years }, (_, code) => Uint8Array.from({ length: years }, (_, t) => (code >> t) & 1));

const RUNS = { seed: 11, numRuns: 25 };
const facilities = fc.integer({ min: 1, max: 5000 }).map(facilityAt);

describe('cheapest paths of a facility', () => {
  test('the kernel agrees with the readable form', () => {
    fc.assert(
      fc.property(facilities, fc.integer({ min: 0, max: 31 }), (facility, code) => {
        const { paths, tables, problem } = facility;
        const open = Uint8Array.from({ length: problem.years }, (_, t) => (code >> t) & 1);
        paths.settle(open);
        for (let p = 0; p < paths.count; p++) {
          const twin = cheapest(facility, tables.layout.order[p], [...open].map(Boolean));
          if (Number.isFinite(twin)) expect(paths.value[p]).toBeCloseTo(twin, 8);
          else expect(paths.value[p]).toBe(twin);
        }
      }),
      RUNS,
    );
  });

  test('gain and loss of a year are what settling without or with it gives', () => {
    fc.assert(
      fc.property(facilities, fc.integer({ min: 0, max: 31 }), ({ paths, problem }, code) => {
        const open = Uint8Array.from({ length: problem.years }, (_, t) => (code >> t) & 1);
        if (!Number.isFinite(paths.costOver(open))) return;
        const now = paths.sweep(open);
        expect(paths.costOver(open)).toBeCloseTo(now, 4);
        const [gains, losses] = [paths.addGain.slice(), paths.dropLoss.slice()];
        for (let t = 0; t < problem.years; t++) {
          const other = open.slice();
          other[t] = 1 - open[t];
          const then = paths.costOver(other);
          if (open[t] === 0) expect(gains[t]).toBeCloseTo(now - then, 4);
          else if (Number.isFinite(then)) expect(losses[t]).toBeCloseTo(then - now, 4);
          else expect(losses[t]).toBe(Number.POSITIVE_INFINITY);
        }
      }),
      RUNS,
    );
  });

  test('the bound is no more than the best of all open years, the search no less, and both near it', () => {
    let [apart, branchedApart, best] = [0, 0, 0];
    fc.assert(
      fc.property(facilities, ({ paths, problem, mobilisation }) => {
        const costs = subsets(problem.years).map((open) => paths.settle(open) + paid(paths, mobilisation));
        const least = Math.min(...costs);
        const open = new Uint8Array(problem.years).fill(1);
        const found = new OpenYears(paths).search(open, mobilisation, { kicks: problem.years, firstKick: 0 });
        const bound = new FacilityBound(paths).raise(open, mobilisation, found, { rounds: 150, narrow: 0 });
        expect(found).toBeGreaterThanOrEqual(least - 1e-6 * Math.abs(least));
        expect(bound).toBeLessThanOrEqual(least + 1e-6 * Math.abs(least));
        const effort = { rounds: 20, branches: 30, branchRounds: 20, narrow: 0 };
        const branched = new BranchedBound(paths).raise(open, mobilisation, found, effort);
        expect(branched).toBeLessThanOrEqual(least + 1e-6 * Math.abs(least));
        expect(paths.settle(open) + paid(paths, mobilisation)).toBeCloseTo(found, 4);
        expect(found).toBeLessThanOrEqual(least + 0.01 * Math.abs(least));
        apart += least - bound;
        branchedApart += least - branched;
        best += least;
      }),
      RUNS,
    );
    expect(apart / best).toBeLessThan(0.02);
    expect(branchedApart / best).toBeLessThan(0.001);
  });
});

const paid = ({ users }: FacilityPaths, mobilisation: Float64Array) =>
  mobilisation.reduce((sum, cost, t) => sum + (users[t] > 0 ? cost : 0), 0);
