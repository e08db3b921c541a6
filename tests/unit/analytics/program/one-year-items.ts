import type { ProgramLimit, ProgramProblem } from '../../../../analytics/program/program-problem.ts';

export interface Items {
  /** Price of each item's work. */ readonly price: readonly number[];
  /** Row-major, items x years: what is saved if the work is done in that year. */ readonly saving: readonly number[];
  readonly years: number;
  readonly limits: readonly ProgramLimit[];
  readonly lengthM?: readonly number[];
}

/** Items that are worth a given sum in each year: failed length costs 1 a year, so that waiting a year loses the difference. */
export function itemProgram({ price, saving, years, limits, lengthM }: Items): ProgramProblem {
  const count = price.length;
  const each = (value: number) => new Int32Array(count).fill(value);
  const length = Float64Array.from(price, (_, i) => lengthM?.[i] ?? 1);
  const worst = price.map((p, i) => p + saving[i * years]);
  return {
    count,
    years,
    lengthM: length,
    facility: each(0),
    district: each(0),
    facilityKind: each(0),
    type: Int32Array.from(price, (_, i) => i),
    failedByYearEnd: Float64Array.from({ length: count * years }, () => 1),
    finalCostIfNeverPerM: Float64Array.from(worst, (w, i) => (w - openUntil(saving, i, years, years)) / length[i]),
    work: new Uint8Array(count * years).fill(1),
    requiredClass: each(-1),
    goneFromYear: each(years),
    types: {
      count,
      classes: 1,
      curve: each(0),
      pricePerM: Float64Array.from(price, (p, i) => p / length[i]),
      openCostPerMYear: Float64Array.from(price, (_, i) => openUntil(saving, i, 1, years) / length[i]),
      failedByAge: new Float64Array(years + 1),
      oldestAge: years,
      finalCostPerM: new Float64Array(count * (years + 1)),
    },
    facilities: { count: 1, mobilisationCost: new Float64Array(1), district: new Int32Array(1) },
    limits,
    targets: [],
    minimumJobM: 0,
    discountRatePerYear: 0,
    objective: 'least-cost',
  };
}

/** Open cost of the first `until` years: what each year of waiting loses, the same every year. */
const openUntil = (saving: readonly number[], i: number, until: number, years: number): number =>
  years > 1 ? until * (saving[i * years] - saving[i * years + 1]) : 0;

/** Saved against doing nothing. */
export const savedBy = ({ price, saving, years }: Items, objective: number): number =>
  price.reduce((sum, p, i) => sum + p + saving[i * years], 0) - objective;

export const ceiling = (year: number, atMost: number): ProgramLimit => ({
  of: 'money',
  year,
  district: null,
  atMost,
  atLeast: null,
});
