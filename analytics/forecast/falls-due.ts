import { DrawTable, type Interval, type YearInterval } from './draw-table.ts';
import type { DueGroup } from './falls-due-cells.ts';
import { discountFactor, nominalFactor } from './life-cycle.ts';
import type { ForecastOptions, SegmentKnowledge } from './segment-mixture.ts';
import type { YearShocks } from './year-shocks.ts';

export type { DueGroup } from './falls-due-cells.ts';

export interface FallsDueInput extends SegmentKnowledge {
  /** Sealed length, m, above 0. */ readonly lengthM: Float64Array;
  /** Index of the district, 0 and up. */ readonly district: Int32Array;
  /** Index of the sealant class, 0 and up. */ readonly sealantClass: Int32Array;
  /** Price of resealing one metre in money of the price year; NaN where there is none. */
  readonly costPerM: Float64Array;
}

export interface FallsDueOptions extends ForecastOptions {
  readonly planningYear: number;
  readonly priceYear: number;
  readonly escalationPerYear: number;
  readonly discountRatePerYear: number;
  readonly seed: number;
  /** See `DueGroupOptions`. */ readonly yearShocks?: YearShocks | null;
}

/**
 * Length and cost that fall due each year when every seal is resealed like with like in the year it fails: no limit on money.
 * Seals known to have failed, and those that may have failed unseen, fall due in the planning year. A resealed segment
 * starts again at age 0 on the life curve of its own class and covariates.
 *
 * Intervals are 10th, 50th and 90th percentiles over draws. One draw of the parameters holds for all segments at once, so
 * intervals of totals come from sums of draws. Chance adds to that: within a group of like segments the length of a year
 * varies with variance sum L² p (1 - p), drawn as a gamma variable since a length cannot be negative. Years that differ add
 * what no number of segments averages out, see `YearShocks`.
 * Costs rise with escalation from the price year. Present value is in money of the price year: constant prices discounted to
 * the planning year at the discount rate, which is a real rate (FHWA-SA-98-079).
 */
export interface FallsDue {
  readonly years: readonly number[];
  readonly rows: readonly ({ readonly district: number; readonly sealantClass: number } & YearInterval)[];
  readonly districtTotals: readonly ({ readonly district: number } & YearInterval)[];
  readonly classTotals: readonly ({ readonly sealantClass: number } & YearInterval)[];
  readonly totals: readonly YearInterval[];
  readonly overall: { readonly lengthM: Interval; readonly cost: Interval; readonly presentValue: Interval };
  /** Expected length over all years that has no price and is not in any cost, m. */ readonly unpricedLengthM: number;
}

/** Groups in order of district, class and price, members in order of index: the same whatever came first. */
export function dueGroups(input: FallsDueInput, taken: (i: number) => boolean): DueGroup[] {
  const groups = new Map<string, DueGroup & { members: number[] }>();
  for (let i = 0; i < input.count; i++) {
    if (!taken(i)) continue;
    const [district, sealantClass, costPerM] = [input.district[i], input.sealantClass[i], input.costPerM[i]];
    const key = `${district}/${sealantClass}/${costPerM}`;
    const group = groups.get(key);
    if (group) group.members.push(i);
    else groups.set(key, { district, sealantClass, costPerM, members: [i] });
  }
  const price = (group: DueGroup) => (Number.isNaN(group.costPerM) ? -1 : group.costPerM);
  return [...groups.values()].sort(
    (a, b) => a.district - b.district || a.sealantClass - b.sealantClass || price(a) - price(b),
  );
}

/** Draws of length and cost, summed the ways that the table shows them. */
export class DueTables {
  private readonly cells = new Map<string, { district: number; sealantClass: number; table: DrawTable }>();
  private readonly districts = new Map<number, DrawTable>();
  private readonly classes = new Map<number, DrawTable>();
  private readonly all: DrawTable;
  private unpricedLengthM = 0;
  private readonly draws: number;
  private readonly years: readonly number[];
  private readonly priceFactors: readonly number[];
  private readonly presentFactors: readonly number[];

  constructor(draws: number, options: FallsDueOptions) {
    this.draws = draws;
    this.years = Array.from({ length: options.horizonYears + 1 }, (_, y) => options.planningYear + y);
    this.priceFactors = this.years.map((_, y) => nominalFactor(options, y));
    // The discount rate is real, so it meets constant prices: escalation is taken out of each year's money again.
    this.presentFactors = this.years.map(
      (_, y) => discountFactor(options.discountRatePerYear, y) / this.priceFactors[y],
    );
    this.all = this.newTable();
  }

  private readonly newTable = (): DrawTable => new DrawTable(this.draws, this.years.length);

  add({ district, sealantClass, costPerM }: DueGroup, lengths: Float64Array): void {
    const priced = !Number.isNaN(costPerM);
    const perM = this.priceFactors.map((factor) => (priced ? costPerM * factor : 0));
    const key = `${district}/${sealantClass}`;
    const cell = this.cells.get(key) ?? { district, sealantClass, table: this.newTable() };
    this.cells.set(key, cell);
    const byDistrict = this.districts.get(district) ?? this.newTable();
    this.districts.set(district, byDistrict);
    const byClass = this.classes.get(sealantClass) ?? this.newTable();
    this.classes.set(sealantClass, byClass);
    for (const table of [cell.table, byDistrict, byClass, this.all]) table.add(lengths, perM);
    if (!priced) this.unpricedLengthM += lengths.reduce((sum, length) => sum + length, 0) / this.draws;
  }

  summarise(): FallsDue {
    const { years } = this;
    return {
      years,
      rows: [...this.cells.values()].flatMap(({ district, sealantClass, table }) =>
        table.byYear(years).map((row) => ({ district, sealantClass, ...row })),
      ),
      districtTotals: inOrder(this.districts).flatMap(([district, table]) =>
        table.byYear(years).map((row) => ({ district, ...row })),
      ),
      classTotals: inOrder(this.classes).flatMap(([sealantClass, table]) =>
        table.byYear(years).map((row) => ({ sealantClass, ...row })),
      ),
      totals: this.all.byYear(years),
      overall: this.all.overall(this.presentFactors),
      unpricedLengthM: this.unpricedLengthM,
    };
  }
}

const inOrder = <T>(map: Map<number, T>): [number, T][] => [...map].sort(([a], [b]) => a - b);
