import { capitalRecoveryFactor, discountFactor, nominalFactor, type PriceTerms } from '../forecast/life-cycle.ts';
import { type NetworkPart, NetworkParts, numbersTo } from './network-parts.ts';
import { limitUses, planCost } from './plan-cost.ts';
import { overClasses } from './planned-spending.ts';
import type { FailedRow, OutcomeDraws, ProgramOutcome, ProgramTotals, WorkRow, YearRow } from './program-outcome.ts';
import type { ProgramPlan, ProgramProblem } from './program-problem.ts';
import type { ProgramSample } from './program-sample.ts';
import { inYear, overYears, sumOf } from './year-table.ts';

export interface EvaluationTerms extends PriceTerms {
  /** Log SD of a year's prices of a class about the price list, see `DEFAULT_PRICE_LOG_SD`; 0: prices are certain. */
  readonly priceLogSd: number;
}

/**
 * What a plan comes to: work, spending, failed length and cost of open joints by year, with 80 % intervals over the draws of
 * the sample. The same problem, plan, sample and terms give the same numbers.
 * @param sample one entry for each segment of the problem, looking ahead as far as its horizon
 * @param onProgress called with the share done, 0 to 1
 * @throws RangeError when the sample does not fit the problem, or a segment has two works in a year
 */
export function evaluateProgram(
  problem: ProgramProblem,
  plan: ProgramPlan,
  sample: ProgramSample,
  terms: EvaluationTerms,
  onProgress?: (shareDone: number) => void,
): ProgramOutcome {
  if (sample.keys.length !== problem.count)
    throw new RangeError(`sample has ${sample.keys.length} segments; expected ${problem.count}`);
  const parts = new NetworkParts({ problem, plan, sample, priceLogSd: terms.priceLogSd, onProgress });
  const rows = new OutcomeRows(parts, problem, terms);
  const everywhere = parts.everywhere();
  const { districts, kinds } = parts.cells;
  return {
    years: rows.calendar,
    rows: rows.work(),
    network: rows.years(everywhere),
    districts: byYear(numbersTo(districts), (district) =>
      rows.years(parts.ofDistrict(district)).map((row) => ({ district, ...row })),
    ),
    facilityKinds: byYear(numbersTo(kinds), (facilityKind) =>
      rows.failed(parts.ofKind(facilityKind)).map((row) => ({ facilityKind, ...row })),
    ),
    totals: { ...rows.totals(everywhere), presentAfterHorizon: planCost(problem, plan).after },
    limits: limitUses(problem, plan),
    draws: outcomeDraws(everywhere, rows.calendar, problem.discountRatePerYear),
  };
}

/** Rows of each part in turn, put in order of the year. */
function byYear<Row>(parts: readonly number[], rowsOf: (part: number) => Row[]): Row[] {
  const tables = parts.map(rowsOf);
  return (tables[0] ?? []).flatMap((_, y) => tables.map((rows) => rows[y]));
}

class OutcomeRows {
  readonly calendar: readonly number[];
  private readonly parts: NetworkParts;
  private readonly nominal: readonly number[];
  private readonly ratePerYear: number;

  constructor(parts: NetworkParts, { years, discountRatePerYear }: ProgramProblem, terms: EvaluationTerms) {
    this.parts = parts;
    this.ratePerYear = discountRatePerYear;
    this.calendar = numbersTo(years).map((y) => terms.planningYear + y);
    this.nominal = this.calendar.map((_, y) => nominalFactor(terms, y));
  }

  work(): WorkRow[] {
    const { spending, spent } = this.parts;
    const { years, districts, classes, works, lengthM, work } = spending;
    const rows: WorkRow[] = [];
    for (let at = 0; at < years * districts * classes; at++) {
      if (works[at] === 0) continue;
      const [year, sealantClass] = [Math.floor(at / (districts * classes)), at % classes];
      const cost = { expected: Float64Array.of(work[at]), values: spent.ofClass(year, sealantClass, work[at]) };
      rows.push({
        year: this.calendar[year],
        district: Math.floor(at / classes) % districts,
        sealantClass,
        works: works[at],
        lengthM: lengthM[at],
        cost: inYear(cost, 0),
        nominalCost: inYear(cost, 0, this.nominal[year]),
      });
    }
    return rows;
  }

  failed({ failedM, sealedM }: NetworkPart): FailedRow[] {
    return this.calendar.map((year, y) => ({
      year,
      failedShare: inYear(failedM, y, sealedM > 0 ? 1 / sealedM : 0),
      backlogM: inYear(failedM, y),
    }));
  }

  years(part: NetworkPart): YearRow[] {
    const { spending } = this.parts;
    const { mobilisation, mobilisations } = spending;
    const sum = (of: (district: number) => number) => part.districts.reduce((all, district) => all + of(district), 0);
    return this.failed(part).map((row, y) => ({
      ...row,
      works: sum((district) => overClasses(spending, spending.works, y, district)),
      lengthM: sum((district) => overClasses(spending, spending.lengthM, y, district)),
      mobilisations: sum((district) => mobilisations[y * spending.districts + district]),
      mobilisationCost: sum((district) => mobilisation[y * spending.districts + district]),
      cost: inYear(part.cost, y),
      nominalCost: inYear(part.cost, y, this.nominal[y]),
      openCost: inYear(part.openCost, y),
    }));
  }

  totals({ cost, openCost, failedM }: NetworkPart): Omit<ProgramTotals, 'presentAfterHorizon'> {
    const { works, lengthM, years } = this.parts.spending;
    const once = this.calendar.map(() => 1);
    const present = this.calendar.map((_, y) => discountFactor(this.ratePerYear, y));
    const recovery = capitalRecoveryFactor(this.ratePerYear, years);
    const all = sumOf([cost, openCost], years, cost.values.length / years);
    return {
      works: works.reduce((sum, count) => sum + count, 0),
      lengthM: lengthM.reduce((sum, m) => sum + m, 0),
      cost: overYears(cost, once),
      nominalCost: overYears(cost, this.nominal),
      presentCost: overYears(cost, present),
      presentOpenCost: overYears(openCost, present),
      presentTotal: overYears(all, present),
      annualCost: overYears(
        all,
        present.map((factor) => factor * recovery),
      ),
      failedLengthYears: overYears(failedM, once),
      backlogAtEndM: inYear(failedM, years - 1),
    };
  }
}

const outcomeDraws = (
  { sealedM, failedM, cost, openCost }: NetworkPart,
  years: readonly number[],
  discountRatePerYear: number,
): OutcomeDraws => ({
  draws: cost.values.length / years.length,
  years,
  sealedLengthM: sealedM,
  discountRatePerYear,
  failedM: failedM.values,
  cost: cost.values,
  openCost: openCost.values,
  expected: { failedM: failedM.expected, cost: cost.expected, openCost: openCost.expected },
});
