import highsModule, { type Highs } from 'highs';
import type { ProgramPlan, ProgramProblem } from '../program-problem.ts';
import { type ExactModel, exactModel, type ModelOptions } from './exact-model.ts';
import { planOf } from './plan-figures.ts';
import type { RowSet } from './row-set.ts';

export interface ExactSearch extends ModelOptions {
  /** Branches at most; the answer is then the best so far. */ readonly nodes: number;
  /** Ends once the gap is no wider. */ readonly gapShare: number;
  /** Solves the linear relaxation by interior points instead; the bound is its optimum, and there is no plan. */
  readonly relaxed?: boolean;
  readonly progress?: (bound: number, incumbent: number | null) => void;
  readonly cancelled?: () => boolean;
}

export interface ExactAnswer {
  /** null: none was found. */ readonly plan: ProgramPlan | null;
  /** No plan of the model costs less: money, or what is missed when elastic. */ readonly bound: number;
  /** Whether no plan keeps the rows. */ readonly infeasible: boolean;
  /** Whether the search came to its end. */ readonly proven: boolean;
}

// The package's types describe its CommonJS form, in which the loader is a property of what is imported.
const loadHighs = highsModule as unknown as typeof highsModule.default;
let loading: Promise<Highs> | null = null;

/** Solves the mixed-integer program with HiGHS. Deterministic: ended by branches, not by time. */
export async function exactSolve(problem: ProgramProblem, rows: RowSet, search: ExactSearch): Promise<ExactAnswer> {
  loading ??= loadHighs();
  const highs = await loading;
  return solveModel(highs, exactModel(problem, rows, search), search);
}

function solveModel(highs: Highs, model: ExactModel, search: ExactSearch): ExactAnswer {
  const { callbackType, modelStatus } = highs.constants;
  const unit = search.elastic ? 1 : model.unit;
  if (search.relaxed === true) return solveRelaxed(highs, model);
  return highs.withModel(modelData(model), (solver) => {
    solver.options.set({
      output_flag: false,
      mip_rel_gap: search.gapShare,
      mip_abs_gap: 1e-9,
      mip_max_nodes: search.nodes,
    });
    solver.run({
      [callbackType.mipLogging]: ({ data }) => {
        const found = data.mip_primal_bound ?? Number.POSITIVE_INFINITY;
        search.progress?.((data.mip_dual_bound ?? 0) * unit, Number.isFinite(found) ? found * unit : null);
        return undefined;
      },
      [callbackType.mipInterrupt]: (event) => {
        if (search.cancelled?.()) event.interrupt();
        return undefined;
      },
    });
    const status = solver.getModelStatus();
    const bound = Number(solver.info.get('mip_dual_bound')) * unit;
    const found = Number(solver.info.get('primal_solution_status')) === 2;
    return {
      plan: found ? readPlan(model, solver.getSolution().colValue) : null,
      bound,
      infeasible: status === modelStatus.infeasible,
      proven: status === modelStatus.optimal,
    };
  });
}

function solveRelaxed(highs: Highs, model: ExactModel): ExactAnswer {
  const { integrality: _, ...linear } = modelData(model);
  return highs.withModel(linear, (solver) => {
    solver.options.set({ output_flag: false, solver: 'ipm', run_crossover: 'off' });
    solver.run();
    const proven = solver.getModelStatus() === highs.constants.modelStatus.optimal;
    return { plan: null, bound: solver.getObjectiveValue() * model.unit, infeasible: false, proven };
  });
}

const modelData = (model: ExactModel) => ({
  numCols: model.columns,
  numRows: model.modelRows,
  colCost: model.cost,
  colLower: new Float64Array(model.columns),
  colUpper: model.upper,
  rowLower: model.rowLower,
  rowUpper: model.rowUpper,
  matrix: {
    format: 'csc' as const,
    numRows: model.modelRows,
    numCols: model.columns,
    starts: model.starts,
    indices: model.indices,
    values: model.values,
  },
  integrality: model.integer,
});

function readPlan(model: ExactModel, value: Float64Array): ProgramPlan {
  const works = [];
  for (let j = 0; j < model.firstSlack; j++)
    if (model.segment[j] >= 0 && value[j] > 0.5)
      works.push({ segment: model.segment[j], year: model.year[j], sealantClass: model.sealantClass[j] });
  return planOf(works);
}
