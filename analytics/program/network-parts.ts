import { drawnFailedLengths, expectedFailedLengths, type NetworkCells, networkCells } from './failed-lengths.ts';
import { indexPlan } from './plan-index.ts';
import { listedCost, type PlannedSpending, plannedSpending, SpendingDraws } from './planned-spending.ts';
import type { ProgramPlan, ProgramProblem } from './program-problem.ts';
import type { ProgramSample } from './program-sample.ts';
import { sumOf, type YearDraws } from './year-table.ts';

/** Some part of the network: what is sealed, failed, open and spent there. Money is constant money. */
export interface NetworkPart {
  readonly sealedM: number;
  readonly failedM: YearDraws;
  readonly openCost: YearDraws;
  readonly cost: YearDraws;
  /** Districts whose work and mobilisation count. */ readonly districts: readonly number[];
}

export interface NetworkPartsInput {
  readonly problem: ProgramProblem;
  readonly plan: ProgramPlan;
  readonly sample: ProgramSample;
  readonly priceLogSd: number;
  readonly onProgress?: (shareDone: number) => void;
}

/** A plan tried on a sample, told apart by district and kind of facility, so that any part can be summed. */
export class NetworkParts {
  readonly cells: NetworkCells;
  readonly spending: PlannedSpending;
  readonly spent: SpendingDraws;
  private readonly years: number;
  private readonly draws: number;
  private readonly failed: readonly YearDraws[];
  private readonly open: readonly YearDraws[];
  private readonly costs: readonly YearDraws[];

  constructor({ problem, plan, sample, priceLogSd, onProgress }: NetworkPartsInput) {
    this.years = problem.years;
    this.draws = sample.draws;
    this.cells = networkCells(problem);
    const index = indexPlan(plan, problem.count);
    const expected = expectedFailedLengths(problem, index, this.cells);
    const drawn = drawnFailedLengths(problem, index, this.cells, sample, onProgress);
    this.failed = this.byCell(expected.lengthM, drawn.lengthM);
    this.open = this.byCell(expected.openCost, drawn.openCost);
    this.spending = plannedSpending(problem, plan, this.cells.districts);
    this.spent = new SpendingDraws(this.spending, sample.draws, sample.seed, priceLogSd);
    this.costs = numbersTo(this.cells.districts).map((district) => ({
      expected: listedCost(this.spending, district),
      values: this.spent.ofDistrict(district),
    }));
  }

  everywhere(): NetworkPart {
    return this.part(numbersTo(this.cells.sealedM.length), numbersTo(this.cells.districts));
  }

  ofDistrict(district: number): NetworkPart {
    const { kinds } = this.cells;
    return this.part(
      numbersTo(kinds).map((kind) => district * kinds + kind),
      [district],
    );
  }

  /** Budgets are not kept by kind of facility, so its cost is left out. */
  ofKind(kind: number): NetworkPart {
    const { districts, kinds } = this.cells;
    return this.part(
      numbersTo(districts).map((district) => district * kinds + kind),
      [],
    );
  }

  private part(cells: readonly number[], districts: readonly number[]): NetworkPart {
    const pick = (all: readonly YearDraws[], at: readonly number[]) =>
      sumOf(
        at.map((i) => all[i]),
        this.years,
        this.draws,
      );
    return {
      districts,
      sealedM: cells.reduce((sum, cell) => sum + this.cells.sealedM[cell], 0),
      failedM: pick(this.failed, cells),
      openCost: pick(this.open, cells),
      cost: pick(this.costs, districts),
    };
  }

  private byCell(expected: Float64Array, values: Float64Array): YearDraws[] {
    const { years, draws, cells } = this;
    return numbersTo(cells.sealedM.length).map((cell) => ({
      expected: expected.subarray(cell * years, (cell + 1) * years),
      values: values.subarray(cell * draws * years, (cell + 1) * draws * years),
    }));
  }
}

export const numbersTo = (count: number): number[] => Array.from({ length: count }, (_, at) => at);
