import writeExcelFile, { type SheetData } from 'write-excel-file/node';
import type { Interval } from '../schemas/common.ts';
import type { Program, ProgramTotals, ProgramWork } from '../schemas/program.ts';
import type { Store } from '../store/store.ts';
import { type Cell, harmless } from './csv-text.ts';
import {
  answeredWorks,
  budgetColumns,
  budgetLines,
  type ColumnKind,
  shown,
  type TableColumn,
  workColumns,
} from './program-tables.ts';
import { inLengthUnit, type Units } from './units.ts';
import { datedZip } from './zip-dates.ts';

/** A list that people read in a workbook; a longer one is in the CSV, and the sheet says so. */
export const MOST_LISTED_WORKS = 250_000;

const FORMATS: Readonly<Record<ColumnKind, string | undefined>> = {
  text: undefined,
  year: '0',
  count: '#,##0',
  length: '#,##0',
  money: '#,##0',
  price: '0.00',
  share: '0.0%',
};
const HEADER = { fontWeight: 'bold', wrap: true, alignVertical: 'top', backgroundColor: '#e6e9ee' } as const;
const TOTAL = { fontWeight: 'bold' } as const;

type Row = SheetData[number];
interface NamedSheet {
  readonly sheet: string;
  readonly data: SheetData;
  readonly columns: { readonly width: number }[];
  readonly stickyRowsCount?: number;
  readonly stickyColumnsCount?: number;
  readonly orientation?: 'landscape';
}

/** The program as a workbook (Office Open XML): budget table, comparison, work list, assumptions. Same program, same bytes. */
export async function programWorkbook(store: Store, program: Program, units: Units): Promise<Buffer> {
  const works: ProgramWork[] = [];
  for await (const batch of store.readWorks(program.scenarioId, 'year')) {
    works.push(...answeredWorks(program, batch.slice(0, MOST_LISTED_WORKS - works.length)));
    if (works.length >= MOST_LISTED_WORKS) break;
  }
  const sheets: NamedSheet[] = [
    budgetSheet(program, units),
    comparisonSheet(program, units),
    tableSheet('Work list', workColumns(program, units), works, units),
    assumptionsSheet(program),
  ];
  const bytes = await writeExcelFile(sheets.map((sheet) => ({ ...sheet, data: [...sheet.data] }))).toBuffer();
  return datedZip(bytes, program.planningDate);
}

/** A cell of the sheet: numbers stay numbers, and text that a spreadsheet would run is made harmless. */
function cellOf(value: Cell, kind: ColumnKind, style: object = {}): Row[number] {
  const safe = harmless(value);
  if (safe === null) return null;
  return { value: safe, ...(typeof safe === 'number' ? { format: FORMATS[kind] } : {}), ...style };
}

function tableSheet<R>(
  sheet: string,
  columns: readonly TableColumn<R>[],
  rows: readonly R[],
  units: Units,
  styleOf: (row: R) => object = () => ({}),
): NamedSheet {
  return {
    sheet,
    data: [
      columns.map(({ title }) => ({ value: title, ...HEADER })),
      ...rows.map((row) => {
        const style = styleOf(row);
        return columns.map((column) => cellOf(shown(column, row, units), column.kind, style));
      }),
    ],
    columns: columns.map(({ width }) => ({ width })),
    ...{ stickyRowsCount: 1, stickyColumnsCount: 2, orientation: 'landscape' },
  };
}

const budgetSheet = (program: Program, units: Units): NamedSheet =>
  tableSheet('Budget table', budgetColumns(program, units), budgetLines(program), units, ({ sealantClass }) =>
    sealantClass === 'all' ? TOTAL : {},
  );

interface Compared {
  readonly name: string;
  readonly rule: string;
  readonly totals: ProgramTotals;
}

/** The program beside the simple rules, one column each. */
function comparisonSheet(program: Program, units: Units): NamedSheet {
  const { scenarioName, totals, baselines, currency, priceYear } = program;
  const compared: Compared[] = [
    { name: scenarioName, rule: 'This program', totals },
    ...baselines.map(({ baseline, ...rest }) => ({ ...rest, name: baseline.replaceAll('-', ' ') })),
  ];
  const line = (title: string, kind: ColumnKind, of: (totals: ProgramTotals) => number | null): Row => [
    { value: title },
    ...compared.map((each) => {
      const value = of(each.totals);
      return cellOf(kind === 'length' ? inLengthUnit(value, units) : value, kind);
    }),
  ];
  const three = (title: string, kind: ColumnKind, of: (totals: ProgramTotals) => Interval): Row[] => [
    line(title, kind, (each) => of(each).median),
    line(`${title}: 10 % below`, kind, (each) => of(each).lower),
    line(`${title}: 10 % above`, kind, (each) => of(each).upper),
  ];
  const [length, real] = [units === 'si' ? 'm' : 'ft', `${currency} of ${priceYear}, discounted`];
  return {
    sheet: 'Comparison',
    data: [
      [
        { value: 'Over all years', ...HEADER },
        ...compared.map(({ name }) => ({ value: harmless(name) ?? '', ...HEADER })),
      ],
      [{ value: 'Rule' }, ...compared.map(({ rule }) => ({ value: rule, wrap: true, alignVertical: 'top' as const }))],
      line('Reseals', 'count', ({ works }) => works),
      line(`Length, ${length}`, 'length', ({ lengthM }) => lengthM),
      ...three(`Cost of work, ${currency} of each year`, 'money', ({ nominalCost }) => nominalCost),
      ...three(`Cost of work, ${real}`, 'money', ({ presentCost }) => presentCost),
      ...three(`Cost of open joints, ${real}`, 'money', ({ presentOpenCost }) => presentOpenCost),
      line(`What follows the last year, ${real}`, 'money', ({ presentFinalCost }) => presentFinalCost),
      ...three(`Equivalent cost a year, ${currency} of ${priceYear}`, 'money', ({ annualCost }) => annualCost),
      ...three(`Failed length x years, ${length} years`, 'length', (each) => each.failedLengthYearsM),
      ...three(`Backlog at the end, ${length}`, 'length', ({ backlogAtEndM }) => backlogAtEndM),
      ...three('Failed share at the end', 'share', ({ failedShareAtEnd }) => failedShareAtEnd),
      line('Budget used', 'share', ({ budgetUsedShare }) => budgetUsedShare),
    ],
    columns: [{ width: 44 }, ...compared.map(() => ({ width: 24 }))],
    ...{ stickyRowsCount: 1, stickyColumnsCount: 1, orientation: 'landscape' },
  };
}

function assumptionsSheet(program: Program): NamedSheet {
  const wrapped = { wrap: true, alignVertical: 'top' } as const;
  const pair = (what: string, value: Row[number]): Row => [{ value: what, ...wrapped }, value];
  const text = (what: string, value: string): Row => pair(what, { value: String(harmless(value)), ...wrapped });
  const heading = (words: string): Row => [
    { value: words, ...HEADER },
    { value: '', ...HEADER },
  ];
  const number = (value: number | null, kind: ColumnKind) => cellOf(value, kind, { align: 'left' });
  const { works } = program.totals;
  const cut =
    works > MOST_LISTED_WORKS
      ? `The work list here ends after ${MOST_LISTED_WORKS} of ${works}; the CSV holds all.`
      : '';
  return {
    sheet: 'Assumptions',
    data: [
      heading('Program'),
      text('Scenario', `${program.scenarioName}, revision ${program.scenarioRevision}`),
      text('In short', [program.sentence, cut].filter(Boolean).join(' ')),
      pair('Forecast from', { value: new Date(program.planningDate), format: 'yyyy-mm-dd', align: 'left' }),
      pair('Model version', number(program.modelVersion, 'year')),
      pair('Data version', number(program.dataVersion, 'year')),
      pair(`Objective, ${program.currency} of ${program.priceYear}`, number(program.objective, 'money')),
      pair('No program can be below', number(program.bound, 'money')),
      pair('Gap', number(program.gapShare, 'share')),
      ...(program.handMadeCost === null
        ? []
        : [pair('Added by choices made by hand', number(program.handMadeCost, 'money'))]),
      ...program.conflicts.map(({ sentence }) => text('Cannot be kept', sentence)),
      heading('What was asked'),
      ...program.asked.map(({ what, value }) => text(what, value)),
      heading('What it takes for granted'),
      ...program.assumptions.map((sentence) => text('', sentence)),
      heading('Cautions'),
      ...program.cautions.map((sentence) => text('', sentence)),
    ],
    columns: [{ width: 34 }, { width: 110 }],
  };
}
