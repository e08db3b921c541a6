import type { Budget } from '../schemas/budget.ts';
import type { Interval } from '../schemas/common.ts';
import { type Cell, csvText } from './csv-text.ts';
import { inLengthUnit, lengthUnit, rounded, type Units } from './units.ts';

/** The budget table, one line for each district, class and year, then the totals of each year (district "all"). */
export function budgetCsv(budget: Budget, units: Units): string {
  const length = `length${lengthUnit(units)}`;
  const cost = `cost${budget.currency}`;
  const header = ['district', 'sealantClass', 'year', ...three(length), ...three(cost), 'modelVersion'];
  const line = (district: string, sealantClass: string, year: number, lengthM: Interval, money: Interval): Cell[] => [
    district,
    sealantClass,
    year,
    ...[lengthM.median, lengthM.lower, lengthM.upper].map((value) => inLengthUnit(value, units)),
    ...[money.median, money.lower, money.upper].map((value) => rounded(value, 2)),
    budget.modelVersion,
  ];
  return csvText([
    header,
    ...budget.rows.map((r) => line(r.district, r.sealantClass, r.year, r.lengthM, r.cost)),
    ...budget.totals.map((t) => line('all', 'all', t.year, t.lengthM, t.cost)),
  ]);
}

const three = (name: string): string[] => [`${name}Median`, `${name}Lower10`, `${name}Upper90`];
