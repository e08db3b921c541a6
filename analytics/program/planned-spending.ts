import { facilityYearLengths } from './plan-cost.ts';
import { priceFactors } from './price-draws.ts';
import type { ProgramPlan, ProgramProblem } from './program-problem.ts';

/** What a plan spends by year and district at listed prices, constant money. */
export interface PlannedSpending {
  readonly years: number;
  readonly districts: number;
  readonly classes: number;
  /** Reseals of segments, years x districts x classes, row-major. */ readonly works: Int32Array;
  /** m, years x districts x classes. */ readonly lengthM: Float64Array;
  /** Without mobilisation, years x districts x classes. */ readonly work: Float64Array;
  /** Years x districts: the district that pays for it. */ readonly mobilisation: Float64Array;
  /** Facilities at work, years x districts. */ readonly mobilisations: Int32Array;
}

export function plannedSpending(problem: ProgramProblem, plan: ProgramPlan, districts: number): PlannedSpending {
  const { years, types, type, district, lengthM, facilities } = problem;
  const { classes } = types;
  const out = {
    ...{ years, districts, classes },
    works: new Int32Array(years * districts * classes),
    lengthM: new Float64Array(years * districts * classes),
    work: new Float64Array(years * districts * classes),
    mobilisation: new Float64Array(years * districts),
    mobilisations: new Int32Array(years * districts),
  };
  for (const [entry, i] of plan.segment.entries()) {
    const sealantClass = plan.sealantClass[entry];
    const at = (plan.year[entry] * districts + district[i]) * classes + sealantClass;
    out.works[at]++;
    out.lengthM[at] += lengthM[i];
    out.work[at] += lengthM[i] * types.pricePerM[type[i] * classes + sealantClass];
  }
  facilityYearLengths(problem, plan).forEach((length, at) => {
    if (!(length > 0)) return;
    const facility = Math.floor(at / years);
    const row = (at % years) * districts + facilities.district[facility];
    out.mobilisation[row] += facilities.mobilisationCost[facility];
    out.mobilisations[row]++;
  });
  return out;
}

/** Sum over classes of one year and district. */
export const overClasses = (
  { districts, classes }: PlannedSpending,
  values: Int32Array | Float64Array,
  year: number,
  district: number,
): number => {
  const from = (year * districts + district) * classes;
  let sum = 0;
  for (let c = 0; c < classes; c++) sum += values[from + c];
  return sum;
};

/** Work and mobilisation of a district at listed prices, one entry for each year. */
export const listedCost = (spending: PlannedSpending, district: number): Float64Array =>
  Float64Array.from(
    { length: spending.years },
    (_, year) =>
      overClasses(spending, spending.work, year, district) +
      spending.mobilisation[year * spending.districts + district],
  );

/** The same spending at the prices of each draw. */
export class SpendingDraws {
  private readonly spending: PlannedSpending;
  private readonly draws: number;
  /** By year x (classes + 1), mobilisation last. */ private readonly factors: readonly Float64Array[];

  constructor(spending: PlannedSpending, draws: number, seed: number, priceLogSd: number) {
    const kinds = spending.classes + 1;
    this.spending = spending;
    this.draws = draws;
    this.factors = Array.from({ length: spending.years * kinds }, (_, at) =>
      priceFactors(draws, seed, at % kinds, Math.floor(at / kinds), priceLogSd),
    );
  }

  /** Work of one class in a year that costs `listed` at listed prices: one entry for each draw. */
  ofClass(year: number, sealantClass: number, listed: number): Float64Array {
    return this.factors[year * (this.spending.classes + 1) + sealantClass].map((factor) => factor * listed);
  }

  /** Row-major, draws x years. */
  ofDistrict(district: number): Float64Array {
    const { years, districts, classes, work, mobilisation } = this.spending;
    const out = new Float64Array(this.draws * years);
    for (let year = 0; year < years; year++) {
      const row = year * districts + district;
      for (let c = 0; c < classes; c++) this.addTo(out, year, c, work[row * classes + c]);
      this.addTo(out, year, classes, mobilisation[row]);
    }
    return out;
  }

  private addTo(out: Float64Array, year: number, kind: number, listed: number): void {
    if (listed === 0) return;
    const { years, classes } = this.spending;
    const factors = this.factors[year * (classes + 1) + kind];
    for (let d = 0; d < this.draws; d++) out[d * years + year] += factors[d] * listed;
  }
}
