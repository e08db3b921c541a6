import { capitalRecoveryFactor, discountFactor, nominalFactor, type PriceTerms } from '../forecast/life-cycle.ts';
import { drawnFailedLengths, expectedFailedLengths, type NetworkCells, networkCells } from './failed-lengths.ts';
import { limitUses, planCost } from './plan-cost.ts';
import { indexPlan } from './plan-index.ts';
import { type PlannedSpending, plannedSpending, SpendingDraws } from './planned-spending.ts';
import type { FailedRow, ProgramOutcome, ProgramTotals, WorkRow, YearRow } from './program-outcome.ts';
import type { ProgramPlan, ProgramProblem } from './program-problem.ts';
import type { ProgramSample } from './program-sample.ts';
import { inYear, overYears, sumOf, type YearDraws } from './year-table.ts';

export interface EvaluationTerms extends PriceTerms {
  /** Log SD of a year's prices of a class about the price list, see `DEFAULT_PRICE_LOG_SD`; 0: prices are certain. */
  readonly priceLogSd: number;
}

/**
 * What a plan comes to: work, spending, failed length and cost of open joints by year, with 80 % intervals over the draws of
 * the sample. The same problem, plan, sample and terms give the same numbers.
 * @param sample one entry for each segment of the problem, looking ahead as far as its horizon
 * @param onProgress called with the share done, 0 to 1
 * @throws RangeError when the sample does not fit the problem, or the plan is none
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
  const parts = new OutcomeParts(problem, plan, sample, terms, onProgress);
  return {
    years: parts.calendar,
    rows: parts.workRows(),
    network: parts.yearRows(parts.everywhere),
    districts: parts.districtRows(),
    facilityKinds: parts.kindRows(),
    totals: parts.totals(),
    limits: limitUses(problem, plan),
    draws: parts.outcomeDraws(),
  };
}

/** Some part of the network: sealed length, and what is failed, open and spent there. */
interface Part {
  readonly sealedM: number;
  readonly failedM: YearDraws;
  readonly openCost: YearDraws;
  readonly cost: YearDraws;
  /** Districts whose work and mobilisation count. */ readonly districts: readonly number[];
}

class OutcomeParts {
  readonly calendar: readonly number[];
  readonly everywhere: Part;
  private readonly problem: ProgramProblem;
  private readonly plan: ProgramPlan;
  private readonly cells: NetworkCells;
  private readonly failed: readonly YearDraws[];
  private readonly open: readonly YearDraws[];
  private readonly spending: PlannedSpending;
  private readonly spent: SpendingDraws;
  private readonly nominal: readonly number[];
  private readonly draws: number;

  constructor(
    problem: ProgramProblem,
    plan: ProgramPlan,
    sample: ProgramSample,
    terms: EvaluationTerms,
    onProgress?: (shareDone: number) => void,
  ) {
    const years = Array.from({ length: problem.years }, (_, y) => y);
    this.problem = problem;
    this.plan = plan;
    this.draws = sample.draws;
    this.calendar = years.map((y) => terms.planningYear + y);
    this.nominal = years.map((y) => nominalFactor(terms, y));
    const index = indexPlan(plan, problem.count);
    this.cells = networkCells(problem);
    const expected = expectedFailedLengths(problem, index, this.cells);
    const drawn = drawnFailedLengths(problem, index, this.cells, sample, onProgress);
    this.failed = this.byCell(expected.lengthM, drawn.lengthM);
    this.open = this.byCell(expected.openCost, drawn.openCost);
    this.spending = plannedSpending(problem, plan, this.cells.districts);
    this.spent = new SpendingDraws(this.spending, sample.draws, sample.seed, terms.priceLogSd);
    const { districts, kinds } = this.cells;
    this.everywhere = this.part(numbersTo(districts * kinds), numbersTo(districts));
  }

  workRows(): WorkRow[] {
    const { years, districts, classes, lengthM, work } = this.spending;
    const rows: WorkRow[] = [];
    for (let at = 0; at < years * districts * classes; at++) {
      if (!(lengthM[at] > 0)) continue;
      const [year, sealantClass] = [Math.floor(at / (districts * classes)), at % classes];
      const drawn = { expected: Float64Array.of(work[at]), values: this.spent.ofClass(year, sealantClass, work[at]) };
      rows.push({
        year: this.calendar[year],
        district: Math.floor(at / classes) % districts,
        sealantClass,
        lengthM: lengthM[at],
        cost: inYear(drawn, 0),
        nominalCost: inYear(drawn, 0, this.nominal[year]),
      });
    }
    return rows;
  }

  districtRows(): (YearRow & { district: number })[] {
    const { districts, kinds } = this.cells;
    const ofDistrict = numbersTo(districts).map((district) => {
      const cells = numbersTo(kinds).map((kind) => district * kinds + kind);
      return this.yearRows(this.part(cells, [district])).map((row) => ({ district, ...row }));
    });
    return this.calendar.flatMap((_, y) => ofDistrict.map((rows) => rows[y]));
  }

  kindRows(): (FailedRow & { facilityKind: number })[] {
    const { districts, kinds } = this.cells;
    const parts = numbersTo(kinds).map((kind) =>
      this.part(
        numbersTo(districts).map((district) => district * kinds + kind),
        [],
      ),
    );
    return this.calendar.flatMap((_, y) =>
      parts.map((part, facilityKind) => ({ facilityKind, ...this.failedRow(part, y) })),
    );
  }

  yearRows(part: Part): YearRow[] {
    const { districts, classes, lengthM, mobilisation, mobilisations } = this.spending;
    return this.calendar.map((_, y) => {
      const rows = part.districts.map((district) => y * districts + district);
      const total = (values: Float64Array | Int32Array) => rows.reduce((sum, row) => sum + values[row], 0);
      return {
        ...this.failedRow(part, y),
        lengthM: rows.reduce(
          (sum, row) => lengthM.subarray(row * classes, (row + 1) * classes).reduce((all, m) => all + m, sum),
          0,
        ),
        mobilisations: total(mobilisations),
        mobilisationCost: total(mobilisation),
        cost: inYear(part.cost, y),
        nominalCost: inYear(part.cost, y, this.nominal[y]),
        openCost: inYear(part.openCost, y),
      };
    });
  }

  totals(): ProgramTotals {
    const { problem, everywhere } = this;
    const { years, discountRatePerYear } = problem;
    const { cost, openCost, failedM } = everywhere;
    const once = this.calendar.map(() => 1);
    const present = this.calendar.map((_, y) => discountFactor(discountRatePerYear, y));
    const recovery = capitalRecoveryFactor(discountRatePerYear, years);
    const all = sumOf([cost, openCost], years, this.draws);
    return {
      lengthM: this.spending.lengthM.reduce((sum, m) => sum + m, 0),
      cost: overYears(cost, once),
      nominalCost: overYears(cost, this.nominal),
      presentCost: overYears(cost, present),
      presentOpenCost: overYears(openCost, present),
      presentTotal: overYears(all, present),
      annualCost: overYears(
        all,
        present.map((factor) => factor * recovery),
      ),
      presentAfterHorizon: planCost(problem, this.plan).after,
      failedLengthYears: overYears(failedM, once),
      backlogAtEndM: inYear(failedM, years - 1),
    };
  }

  outcomeDraws(): ProgramOutcome['draws'] {
    const { failedM, cost, openCost, sealedM } = this.everywhere;
    return {
      draws: this.draws,
      years: this.calendar,
      sealedLengthM: sealedM,
      discountRatePerYear: this.problem.discountRatePerYear,
      failedM: failedM.values,
      cost: cost.values,
      openCost: openCost.values,
      expected: { failedM: failedM.expected, cost: cost.expected, openCost: openCost.expected },
    };
  }

  private failedRow({ failedM, sealedM }: Part, y: number): FailedRow {
    return {
      year: this.calendar[y],
      failedShare: inYear(failedM, y, sealedM > 0 ? 1 / sealedM : 0),
      backlogM: inYear(failedM, y),
    };
  }

  private part(cells: readonly number[], districts: readonly number[]): Part {
    const { years } = this.problem;
    const over = (quantity: readonly YearDraws[]) =>
      sumOf(
        cells.map((cell) => quantity[cell]),
        years,
        this.draws,
      );
    return {
      districts,
      sealedM: cells.reduce((sum, cell) => sum + this.cells.sealedM[cell], 0),
      failedM: over(this.failed),
      openCost: over(this.open),
      cost: sumOf(
        districts.map((district) => this.districtCost(district)),
        years,
        this.draws,
      ),
    };
  }

  private districtCost(district: number): YearDraws {
    const { years, districts, classes, work, mobilisation } = this.spending;
    const expected = Float64Array.from({ length: years }, (_, y) => {
      const row = y * districts + district;
      return work.subarray(row * classes, (row + 1) * classes).reduce((sum, money) => sum + money, mobilisation[row]);
    });
    return { expected, values: this.spent.ofDistrict(district) };
  }

  private byCell(expected: Float64Array, values: Float64Array): YearDraws[] {
    const { years } = this.problem;
    const size = this.draws * years;
    return numbersTo(this.cells.sealedM.length).map((cell) => ({
      expected: expected.subarray(cell * years, (cell + 1) * years),
      values: values.subarray(cell * size, (cell + 1) * size),
    }));
  }
}

const numbersTo = (count: number): number[] => Array.from({ length: count }, (_, at) => at);
