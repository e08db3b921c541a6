import { nominalFactor } from '../../analytics/forecast/life-cycle.ts';
import { budgetIn } from './check-limits.ts';
import type { Solved } from './program-report.ts';

/** The budget of the whole network in one year. */
export interface YearBudget {
  /** Money of that year; null: no limit. */ readonly atMost: number | null;
  /** Discounted cost saved by one more unit of it; null: no limit. */ readonly price: number | null;
  /** Money of that year for one unit of constant money. */ readonly nominalFactor: number;
}

export function yearBudgets({
  scenario: { inputs },
  input: { limits },
  asked: { terms },
  solution: { rowPrices },
}: Pick<Solved, 'scenario' | 'input' | 'asked' | 'solution'>): YearBudget[] {
  const { budgets, horizonYears } = inputs;
  return Array.from({ length: horizonYears }, (_, year) => {
    const factor = nominalFactor(terms, year);
    const asked = budgetIn(budgets, terms.planningYear + year);
    const row = limits.findIndex((limit) => limit.of === 'money' && limit.district === null && limit.year === year);
    return {
      atMost: asked === null ? null : budgets.moneyOf === 'each-year' ? asked : asked * factor,
      price: row < 0 ? null : rowPrices[row] / factor,
      nominalFactor: factor,
    };
  });
}
