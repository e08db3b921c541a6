import highsModule, { type Highs } from 'highs';

/** One term of a row: column and coefficient. */
export type Term = readonly [column: number, coefficient: number];

/** A mixed-integer program in the making: columns first, rows as they come. Minimises. */
export class MixedIntegerModel {
  readonly cost: number[] = [];
  readonly lower: number[] = [];
  readonly upper: number[] = [];
  readonly integer: (0 | 1)[] = [];
  readonly rowLower: number[] = [];
  readonly rowUpper: number[] = [];
  private readonly starts: number[] = [0];
  private readonly indices: number[] = [];
  private readonly values: number[] = [];

  /** @returns number of the column */
  addColumn(column: { cost: number; lower: number; upper: number; integer: boolean }): number {
    this.cost.push(column.cost);
    this.lower.push(column.lower);
    this.upper.push(column.upper);
    this.integer.push(column.integer ? 1 : 0);
    return this.cost.length - 1;
  }

  /** lower <= sum of terms <= upper. Terms of the same column are added up. */
  addRow(lower: number, upper: number, terms: Iterable<Term>): void {
    const sums = new Map<number, number>();
    for (const [column, coefficient] of terms) sums.set(column, (sums.get(column) ?? 0) + coefficient);
    for (const [column, coefficient] of sums) {
      if (coefficient === 0) continue;
      this.indices.push(column);
      this.values.push(coefficient);
    }
    this.rowLower.push(lower);
    this.rowUpper.push(upper);
    this.starts.push(this.indices.length);
  }

  atMost(upper: number, terms: Iterable<Term>): void {
    this.addRow(Number.NEGATIVE_INFINITY, upper, terms);
  }

  atLeast(lower: number, terms: Iterable<Term>): void {
    this.addRow(lower, Number.POSITIVE_INFINITY, terms);
  }

  equal(value: number, terms: Iterable<Term>): void {
    this.addRow(value, value, terms);
  }

  get columns(): number {
    return this.cost.length;
  }

  data() {
    return {
      numCols: this.columns,
      numRows: this.rowLower.length,
      colCost: this.cost,
      colLower: this.lower,
      colUpper: this.upper,
      rowLower: this.rowLower,
      rowUpper: this.rowUpper,
      matrix: {
        format: 'csr' as const,
        numRows: this.rowLower.length,
        numCols: this.columns,
        starts: this.starts,
        indices: this.indices,
        values: this.values,
      },
      integrality: this.integer,
    };
  }
}

export interface MixedIntegerSearch {
  /** Ends once the proven gap is no wider, share of the cost. */ readonly gapShare: number;
  /** Ends after so many simplex iterations: the same on every machine, unlike seconds. */ readonly iterations: number;
  /** Looked at some times a second: true ends the search with the best so far. */
  readonly stop?: (now: { readonly bound: number; readonly found: number | null }) => boolean;
  /** Values of all columns of a solution that is known. */ readonly start?: Float64Array;
}

export interface MixedIntegerAnswer {
  readonly status: 'optimal' | 'infeasible' | 'ended';
  /** No solution costs less; -Infinity when nothing is proven. */ readonly bound: number;
  /** Values of all columns of the best solution; null: none was found. */ readonly values: Float64Array | null;
}

// The package's types describe its CommonJS form, in which the loader is a property of what is imported.
const loadHighs = highsModule as unknown as typeof highsModule.default;
let loading: Promise<Highs> | null = null;

/** Solves with HiGHS. Deterministic as long as `stop` is: effort is counted in iterations, not in time. */
export async function solveMixedInteger(
  model: MixedIntegerModel,
  search: MixedIntegerSearch,
): Promise<MixedIntegerAnswer> {
  loading ??= loadHighs();
  const highs = await loading;
  return highs.withModel(model.data(), (solver): MixedIntegerAnswer => {
    solver.options.set({ output_flag: false, mip_rel_gap: search.gapShare, mip_abs_gap: 1e-9, random_seed: 1 });
    if (search.start) solver.setSolution({ colValue: search.start });
    const { callbackType, modelStatus } = highs.constants;
    solver.run({
      [callbackType.mipInterrupt]: (event) => {
        const found = event.data.mip_primal_bound ?? Number.POSITIVE_INFINITY;
        const bound = event.data.mip_dual_bound ?? Number.NEGATIVE_INFINITY;
        const spent = Number(event.data.mip_total_lp_iterations ?? 0n) > search.iterations;
        const now = { bound, found: Number.isFinite(found) ? found : null };
        if (spent || search.stop?.(now)) event.interrupt();
        return undefined;
      },
    });
    const status = solver.getModelStatus();
    const bound = Number(solver.info.get('mip_dual_bound'));
    const found = Number(solver.info.get('primal_solution_status')) === 2;
    return {
      status: status === modelStatus.optimal ? 'optimal' : status === modelStatus.infeasible ? 'infeasible' : 'ended',
      bound: Number.isFinite(bound) ? bound : Number.NEGATIVE_INFINITY,
      values: found ? Float64Array.from(solver.getSolution().colValue) : null,
    };
  });
}
