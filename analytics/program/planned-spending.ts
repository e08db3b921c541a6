import { facilityYearLengths } from './plan-cost.ts';
import { priceFactors } from './price-draws.ts';
import type { ProgramPlan, ProgramProblem } from './program-problem.ts';

/** What a plan spends by year and district at listed prices, constant money. Row-major, years x districts (x classes). */
export interface PlannedSpending {
  readonly years: number;
  readonly districts: number;
  readonly classes: number;
  /** m, years x districts x classes. */ readonly lengthM: Float64Array;
  /** Without mobilisation, years x districts x classes. */ readonly work: Float64Array;
  /** Years x districts: the district that pays for it. */ readonly mobilisation: Float64Array;
  /** Facilities at work. */ readonly mobilisations: Int32Array;
}

export function plannedSpending(problem: ProgramProblem, plan: ProgramPlan, districts: number): PlannedSpending {
  const { years, types, type, district, lengthM, facilities } = problem;
  const { classes } = types;
  const out = {
    ...{ years, districts, classes },
    lengthM: new Float64Array(years * districts * classes),
    work: new Float64Array(years * districts * classes),
    mobilisation: new Float64Array(years * districts),
    mobilisations: new Int32Array(years * districts),
  };
  for (const [entry, i] of plan.segment.entries()) {
    const sealantClass = plan.sealantClass[entry];
    const at = (plan.year[entry] * districts + district[i]) * classes + sealantClass;
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

/** Spending of one district or all, draw by draw with the prices of each year: row-major, draws x years. */
export class SpendingDraws {
  private readonly spending: PlannedSpending;
  private readonly draws: number;
  /** By year x (classes + 1), mobilisation last. */ private readonly factors: readonly Float64Array[];

  constructor(spending: PlannedSpending, draws: number, seed: number, priceLogSd: number) {
    this.spending = spending;
    this.draws = draws;
    const kinds = spending.classes + 1;
    this.factors = Array.from({ length: spending.years * kinds }, (_, at) =>
      priceFactors(draws, seed, at % kinds, Math.floor(at / kinds), priceLogSd),
    );
  }

  /** One entry for each draw. */
  ofClass(year: number, sealantClass: number, listed: number): Float64Array {
    return this.factors[year * (this.spending.classes + 1) + sealantClass].map((factor) => factor * listed);
  }

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
