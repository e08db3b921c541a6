import type { Interval } from '../../server/schemas/common.ts';
import type { Program, ProgramTotals } from '../../server/schemas/program.ts';
import type { CsvCell } from './evidence-csv.ts';
import type { YearLine } from './program-spending.ts';
import { BASELINE_LABELS } from './program-words.ts';

/** What is drawn of each, year by year. */
export const COMPARE_MEASURES = ['failedShare', 'backlogM', 'cost', 'constantCost'] as const;
export type CompareMeasure = (typeof COMPARE_MEASURES)[number];

/** One line of the comparison: a scenario's program or a baseline. */
export interface ComparedRow {
  /** The scenario's id, or the baseline's word. */ readonly key: string;
  readonly name: string;
  /** How a baseline works; null for a program. */ readonly rule: string | null;
  readonly totals: ProgramTotals;
  readonly points: readonly ({ readonly year: number } & Readonly<Record<CompareMeasure, Interval>>)[];
}

/** The programs in their order, then the four baselines of the first. */
export function comparedRows(programs: readonly Program[]): ComparedRow[] {
  const own = programs.map(
    ({ scenarioId, scenarioName, totals, years }): ComparedRow => ({
      key: scenarioId,
      name: scenarioName,
      rule: null,
      totals,
      points: years,
    }),
  );
  const baselines = (programs[0]?.baselines ?? []).map(
    ({ baseline, rule, totals, years }): ComparedRow => ({
      key: baseline,
      name: BASELINE_LABELS[baseline],
      rule,
      totals,
      points: years,
    }),
  );
  return [...own, ...baselines];
}

export const comparedLines = (rows: readonly ComparedRow[], measure: CompareMeasure): YearLine[] =>
  rows.map(({ key, points }) => ({
    key,
    points: points.map((point) => ({ year: point.year, value: point[measure] })),
  }));

/** What makes figures of two programs not quite comparable, in words. */
export function unlikeWords(programs: readonly Program[]): string[] {
  const [first, ...others] = programs;
  if (!first) return [];
  const differs = <T>(of: (program: Program) => T) => others.some((other) => of(other) !== of(first));
  return [
    differs(({ years }) => years.length) && 'Their horizons differ, so totals are of unlike numbers of years.',
    differs(({ priceYear }) => priceYear) && 'Their constant money is of different years.',
    differs(({ discountRatePerYear }) => discountRatePerYear) && 'They discount at different rates.',
    differs(({ modelVersion }) => modelVersion) && 'They rest on different versions of the model.',
    differs(({ dataVersion }) => dataVersion) && 'They rest on different versions of the records.',
    differs(({ currency }) => currency) && 'They are in different currencies.',
  ].filter((words): words is string => typeof words === 'string');
}

/** The comparison as a file, head row first: SI units, shares of 1. */
export function compareCsv(rows: readonly ComparedRow[]): CsvCell[][] {
  const three = (name: string) => [`${name}Median`, `${name}Lower80`, `${name}Upper80`];
  const values = ({ median, lower, upper }: Interval): CsvCell[] => [median, lower, upper];
  return [
    [
      'name',
      ...three('presentCost'),
      ...three('presentOpenCost'),
      ...three('annualCost'),
      ...three('nominalCost'),
      'lengthM',
      'works',
      ...three('failedLengthYearsM'),
      ...three('backlogAtEndM'),
      ...three('failedShareAtEnd'),
      'budgetUsedShare',
    ],
    ...rows.map(({ name, totals }) => [
      name,
      ...values(totals.presentCost),
      ...values(totals.presentOpenCost),
      ...values(totals.annualCost),
      ...values(totals.nominalCost),
      totals.lengthM,
      totals.works,
      ...values(totals.failedLengthYearsM),
      ...values(totals.backlogAtEndM),
      ...values(totals.failedShareAtEnd),
      totals.budgetUsedShare,
    ]),
  ];
}
