import type { Estimate, FailedRow, ProgramOutcome, YearRow } from '../../analytics/program/program-outcome.ts';
import type { ProgramSolution } from '../../analytics/program/program-problem.ts';
import type { Interval } from '../schemas/common.ts';
import type { Baseline, Program, ProgramTotals, ProgramYear } from '../schemas/program.ts';
import { SEALANT_CLASSES } from '../schemas/words.ts';
import type { StoredScenario, StoredWork } from '../store/scenario-store.ts';
import { askedWords } from './asked-words.ts';
import type { PlanningGround } from './planning-ground.ts';
import {
  assumptionWords,
  baselineRule,
  CAUTIONS,
  conflictSentence,
  conflictUnit,
  programSentence,
} from './program-words.ts';
import type { ScenarioAsked, ScenarioProgramInput } from './scenario-program-input.ts';
import { type YearBudget, yearBudgets } from './year-budgets.ts';

/** All that a report is made of. */
export interface Solved {
  readonly scenario: StoredScenario;
  readonly ground: PlanningGround;
  readonly input: ScenarioProgramInput;
  readonly asked: ScenarioAsked;
  readonly dataVersion: number;
  readonly solution: ProgramSolution;
  readonly outcome: ProgramOutcome;
  readonly baselines: readonly { readonly baseline: Baseline; readonly outcome: ProgramOutcome }[];
  readonly works: readonly StoredWork[];
  /** See `Program`. */ readonly handMadeCost: number | null;
}

export function programReport(solved: Solved): Program {
  const { scenario, ground, input, asked, solution, outcome } = solved;
  const { terms } = asked;
  const { currency } = asked.settings;
  const { districts, facilityKinds } = input.names;
  const report = {
    scenarioId: scenario.id,
    scenarioName: scenario.name,
    scenarioRevision: scenario.revision,
    modelVersion: ground.modelVersion,
    dataVersion: solved.dataVersion,
    planningDate: ground.planningDate,
    currency,
    priceYear: terms.priceYear,
    escalationPerYear: terms.escalationPerYear,
    discountRatePerYear: terms.discountRatePerYear,
    question: scenario.inputs.question,
    status: solution.status,
    objective: solution.objective,
    bound: solution.bound,
    gapShare: solution.gapShare,
    method: solution.method,
    conflicts: solution.conflicts.map((conflict) => ({
      sentence: conflictSentence(conflict, solution, input, { currency, priceYear: terms.priceYear }),
      asked: conflict.asked,
      reachable: conflict.reachable,
      unit: conflictUnit(conflict, input),
    })),
    years: yearRows(solved),
    rows: outcome.rows.map(({ district, sealantClass, year, lengthM, works, cost, nominalCost }) => ({
      ...{ district: districts[district], sealantClass: SEALANT_CLASSES[sealantClass], year, lengthM, works },
      ...{ cost: priced(nominalCost), constantCost: priced(cost) },
    })),
    districts: outcome.districts.map(({ district, ...row }) => ({ district: districts[district], ...figures(row) })),
    facilityKinds: outcome.facilityKinds.map(({ facilityKind, ...row }) => ({
      facilityKind: facilityKinds[facilityKind],
      ...failedFigures(row),
    })),
    totals: totals(solved, outcome),
    baselines: solved.baselines.map(({ baseline, outcome: other }) => ({
      baseline,
      rule: baselineRule(baseline, scenario.inputs),
      totals: totals(solved, other),
      years: other.network.map(figures),
    })),
    handMadeCost: solved.handMadeCost,
    asked: askedWords(asked, facilityKinds),
    assumptions: assumptionWords({
      ...{ inputs: scenario.inputs, terms, currency, planningDate: ground.planningDate, leftOut: ground.leftOut },
      ...{
        modelVersion: ground.modelVersion,
        unpriced: input.unpriced,
        draws: outcome.draws.draws,
        yearsDiffer: ground.yearsDiffer,
      },
    }),
    cautions: [...CAUTIONS],
  };
  return { ...report, sentence: programSentence(report) };
}

const interval = ({ median, lower, upper }: Estimate): Interval => ({ median, lower, upper });

/**
 * Costs of work with the sum at listed prices in the middle: each price is as likely above its listed one as below, and sums
 * of listed prices add up and keep the budget, which medians of sums do not.
 */
const priced = ({ expected, lower, upper }: Estimate): Interval => ({
  median: expected,
  lower: Math.min(lower, expected),
  upper: Math.max(upper, expected),
});

const failedFigures = ({ year, failedShare, backlogM }: FailedRow) => ({
  year,
  failedShare: interval(failedShare),
  backlogM: interval(backlogM),
});

const figures = (row: YearRow) => ({
  ...failedFigures(row),
  lengthM: row.lengthM,
  cost: priced(row.nominalCost),
  constantCost: priced(row.cost),
});

function yearRows(solved: Solved): ProgramYear[] {
  const { outcome, works } = solved;
  const neighboursM = new Map<number, number>();
  for (const { year, why, lengthM } of works)
    if (why === 'neighbour') neighboursM.set(year, (neighboursM.get(year) ?? 0) + lengthM);
  const budgets = yearBudgets(solved);
  return outcome.network.map((row, y) => ({
    ...figures(row),
    works: row.works,
    facilities: row.mobilisations,
    mobilisationCost: row.mobilisationCost * budgets[y].nominalFactor,
    neighboursM: neighboursM.get(row.year) ?? 0,
    budgetAtMost: budgets[y].atMost,
    budgetPrice: budgets[y].price,
  }));
}

function totals(solved: Solved, outcome: ProgramOutcome): ProgramTotals {
  const { totals: all, network } = outcome;
  return {
    presentCost: priced(all.presentCost),
    presentOpenCost: interval(all.presentOpenCost),
    presentFinalCost: all.presentAfterHorizon,
    annualCost: interval(all.annualCost),
    nominalCost: priced(all.nominalCost),
    lengthM: all.lengthM,
    works: all.works,
    failedLengthYearsM: interval(all.failedLengthYears),
    backlogAtEndM: interval(all.backlogAtEndM),
    failedShareAtEnd: interval((network.at(-1) as FailedRow).failedShare),
    budgetUsedShare: usedShare(yearBudgets(solved), outcome),
  };
}

/** Spending over budget of all years that have one, at listed prices; null: no year has. */
function usedShare(budgets: readonly YearBudget[], { network }: ProgramOutcome): number | null {
  let [spent, limit] = [0, 0];
  for (const [y, { atMost }] of budgets.entries()) {
    if (atMost === null) continue;
    spent += network[y].nominalCost.expected;
    limit += atMost;
  }
  return limit > 0 ? spent / limit : null;
}
