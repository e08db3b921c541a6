import type { Interval } from '../../server/schemas/common.ts';
import type { Program } from '../../server/schemas/program.ts';
import type { SealantClass } from '../../server/schemas/words.ts';
import type { MoneyOf } from './budget-scale.ts';
import type { CsvCell } from './evidence-csv.ts';

/** How far down the budget table goes. */
export const TABLE_DEPTHS = ['network', 'district', 'class'] as const;
export type TableDepth = (typeof TABLE_DEPTHS)[number];

/** One line of the budget table: a year of the network, of a district, or of a class in a district. */
export interface TableLine {
  readonly depth: TableDepth;
  readonly year: number;
  readonly district: string | null;
  readonly sealantClass: SealantClass | null;
  readonly lengthM: number;
  readonly cost: Interval;
  /** null: not told for a class. */ readonly failedShare: Interval | null;
  readonly backlogM: Interval | null;
}

interface Costs {
  readonly cost: Interval;
  readonly constantCost: Interval;
}
export const costOf = ({ cost, constantCost }: Costs, moneyOf: MoneyOf): Interval =>
  moneyOf === 'price-year' ? constantCost : cost;

/** Year by year: the network first, then its districts, then the classes that are used there. No figure is added up here. */
export function tableLines(
  { years, districts, rows }: Pick<Program, 'years' | 'districts' | 'rows'>,
  depth: TableDepth,
  moneyOf: MoneyOf,
): TableLine[] {
  const line = (level: TableDepth, row: { year: number; lengthM: number } & Costs): TableLine => ({
    depth: level,
    year: row.year,
    district: null,
    sealantClass: null,
    lengthM: row.lengthM,
    cost: costOf(row, moneyOf),
    failedShare: null,
    backlogM: null,
  });
  return years.flatMap((network) => {
    const lines: TableLine[] = [
      { ...line('network', network), failedShare: network.failedShare, backlogM: network.backlogM },
    ];
    if (depth === 'network') return lines;
    for (const part of districts.filter(({ year }) => year === network.year)) {
      const { district, failedShare, backlogM } = part;
      lines.push({ ...line('district', part), district, failedShare, backlogM });
      if (depth === 'district') continue;
      for (const row of rows.filter((each) => each.year === network.year && each.district === district))
        lines.push({ ...line('class', row), district, sealantClass: row.sealantClass });
    }
    return lines;
  });
}

/** The budget table as a file, head row first: SI units, shares of 1, both kinds of money. */
export function tableCsv(program: Program, depth: TableDepth): CsvCell[][] {
  const nominal = tableLines(program, depth, 'each-year');
  const constant = tableLines(program, depth, 'price-year');
  const three = (interval: Interval | null): CsvCell[] =>
    interval ? [interval.median, interval.lower, interval.upper] : [null, null, null];
  const heads = (name: string) => [`${name}Median`, `${name}Lower80`, `${name}Upper80`];
  return [
    [
      'year',
      'district',
      'sealantClass',
      'lengthM',
      ...heads('cost'),
      ...heads('constantCost'),
      ...heads('failedShare'),
      ...heads('backlogM'),
    ],
    ...nominal.map((line, index) => [
      line.year,
      line.district,
      line.sealantClass,
      line.lengthM,
      ...three(line.cost),
      ...three(constant[index].cost),
      ...three(line.failedShare),
      ...three(line.backlogM),
    ]),
  ];
}

/** A year's limit in the money of the table. Source: compound growth, limit x (1 + escalation)^-(year - price year). */
export function limitIn(
  { year, budgetAtMost }: Pick<Program['years'][number], 'year' | 'budgetAtMost'>,
  moneyOf: MoneyOf,
  { priceYear, escalationPerYear }: Pick<Program, 'priceYear' | 'escalationPerYear'>,
): number | null {
  if (budgetAtMost === null) return null;
  return moneyOf === 'price-year' ? budgetAtMost * (1 + escalationPerYear) ** (priceYear - year) : budgetAtMost;
}
