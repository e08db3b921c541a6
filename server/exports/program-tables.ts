import { sentenceTerms, workAnswer } from '../programs/work-answer.ts';
import type { Interval } from '../schemas/common.ts';
import type { Program, ProgramWork, ProgramYear } from '../schemas/program.ts';
import type { StoredWork } from '../store/scenario-store.ts';
import type { Cell } from './csv-text.ts';
import { inLengthUnit, lengthUnit, rounded, type Units } from './units.ts';

/** What a column holds: how it is rounded in text and shown in a workbook. */
export type ColumnKind = 'text' | 'year' | 'count' | 'length' | 'money' | 'price' | 'share';

/** A column of a table, the same in CSV and in a workbook. */
export interface TableColumn<Row> {
  /** Of a CSV, ending in its unit. */ readonly name: string;
  /** Of a workbook. */ readonly title: string;
  readonly kind: ColumnKind;
  /** Width in a workbook, characters. */ readonly width: number;
  /** In SI; lengths are converted. null: not known or not of this row. */ readonly of: (row: Row) => Cell;
}

/** A value as it stands in a table: rounded, in the units asked for. */
export function shown<Row>({ kind, of }: TableColumn<Row>, row: Row, units: Units): Cell {
  const value = of(row);
  if (typeof value !== 'number') return value;
  switch (kind) {
    case 'length':
      return inLengthUnit(value, units);
    case 'money':
      return rounded(value, 2);
    case 'price':
      return rounded(value, 4);
    case 'share':
      return rounded(value, 6);
    default:
      return value;
  }
}

/** One line of the budget table: a part of the network in a year. */
export interface BudgetLine {
  /** `all`: the whole network. */ readonly district: string;
  /** `all`: every class. */ readonly sealantClass: string;
  readonly year: number;
  readonly works: number | null;
  readonly lengthM: number;
  readonly cost: Interval;
  readonly constantCost: Interval;
  /** Of districts and the network. */ readonly failedShare: Interval | null;
  readonly backlogM: Interval | null;
  /** Of the network alone. */ readonly network: ProgramYear | null;
}

/** Year x district x class, then each district, then the network, each by year. */
export const budgetLines = ({ rows, districts, years }: Program): BudgetLine[] => [
  ...rows.map((row) => ({ ...row, failedShare: null, backlogM: null, network: null })),
  ...districts.map((row) => ({ ...row, sealantClass: 'all', works: null, network: null })),
  ...years.map((row) => ({ ...row, district: 'all', sealantClass: 'all', network: row })),
];

const lengthTitle = (what: string, units: Units): string => `${what}, ${units === 'si' ? 'm' : 'ft'}`;

interface Three<Row> extends Omit<TableColumn<Row>, 'of'> {
  readonly of: (row: Row) => Interval | null;
}
/** The middle of an interval and its ends, in three columns. */
function three<Row>({ name, title, of, ...rest }: Three<Row>): TableColumn<Row>[] {
  const part = (ending: string, words: string, at: keyof Interval): TableColumn<Row> => ({
    ...rest,
    name: `${name}${ending}`,
    title: `${title}${words}`,
    of: (row) => of(row)?.[at] ?? null,
  });
  return [
    part('Median', '', 'median'),
    part('Lower10', ': 10 % below', 'lower'),
    part('Upper90', ': 10 % above', 'upper'),
  ];
}

export function budgetColumns({ currency, priceYear }: Program, units: Units): TableColumn<BudgetLine>[] {
  const money = { kind: 'money', width: 16 } as const;
  const share = { kind: 'share', width: 12 } as const;
  const length = (name: string, what: string) =>
    ({ name: `${name}${lengthUnit(units)}`, title: lengthTitle(what, units), kind: 'length', width: 13 }) as const;
  return [
    { name: 'year', title: 'Year', kind: 'year', width: 7, of: ({ year }) => year },
    { name: 'district', title: 'District', kind: 'text', width: 24, of: ({ district }) => district },
    { name: 'sealantClass', title: 'Sealant class', kind: 'text', width: 24, of: ({ sealantClass }) => sealantClass },
    { name: 'works', title: 'Reseals', kind: 'count', width: 9, of: ({ works }) => works },
    { ...length('length', 'Length'), of: ({ lengthM }) => lengthM },
    ...three<BudgetLine>({
      ...{ name: `cost${currency}`, title: `Cost, ${currency} of the year`, ...money, of: ({ cost }) => cost },
    }),
    ...three<BudgetLine>({
      name: `constantCost${currency}${priceYear}`,
      title: `Cost, ${currency} of ${priceYear}`,
      ...money,
      of: ({ constantCost }) => constantCost,
    }),
    ...three<BudgetLine>({
      name: 'failedShare',
      title: 'Failed share',
      ...share,
      of: ({ failedShare }) => failedShare,
    }),
    ...three<BudgetLine>({ ...length('backlog', 'Backlog'), of: ({ backlogM }) => backlogM }),
    {
      name: 'facilities',
      title: 'Facilities at work',
      kind: 'count',
      width: 11,
      of: ({ network }) => network?.facilities ?? null,
    },
    {
      name: `mobilisation${currency}`,
      title: `Of it mobilisation, ${currency} of the year`,
      ...money,
      of: ({ network }) => network?.mobilisationCost ?? null,
    },
    {
      ...length('neighbours', 'Of it neighbours not yet due'),
      of: ({ network }) => network?.neighboursM ?? null,
    },
    {
      name: `budget${currency}`,
      title: `Budget, ${currency} of the year`,
      ...money,
      of: ({ network }) => network?.budgetAtMost ?? null,
    },
    {
      name: 'savedPerUnitOfBudget',
      title: 'Cost saved by one more unit of budget',
      kind: 'price',
      width: 14,
      of: ({ network }) => network?.budgetPrice ?? null,
    },
  ];
}

export function workColumns({ currency, priceYear }: Program, units: Units): TableColumn<ProgramWork>[] {
  const text = (name: keyof ProgramWork, title: string, width: number): TableColumn<ProgramWork> => ({
    ...{ name, title, width, kind: 'text' },
    of: (work) => work[name],
  });
  const money = { kind: 'money', width: 15 } as const;
  return [
    { name: 'year', title: 'Year', kind: 'year', width: 7, of: ({ year }) => year },
    text('segmentId', 'Segment', 20),
    text('facilityId', 'Facility', 14),
    text('facilityName', 'Facility name', 28),
    text('district', 'District', 24),
    text('jointType', 'Joint type', 24),
    text('sealantClass', 'Reseal with', 24),
    text('sealantClassInPlace', 'In place', 24),
    {
      ...{ name: `length${lengthUnit(units)}`, title: lengthTitle('Length', units), kind: 'length', width: 11 },
      of: ({ lengthM }) => lengthM,
    },
    { name: `cost${currency}`, title: `Cost, ${currency} of the year`, ...money, of: ({ cost }) => cost },
    {
      ...{ name: `constantCost${currency}${priceYear}`, title: `Cost, ${currency} of ${priceYear}`, ...money },
      of: ({ constantCost }) => constantCost,
    },
    {
      ...{ name: 'failedChance', title: 'Chance of having failed by then', kind: 'share', width: 12 },
      of: ({ failedChance }) => failedChance,
    },
    {
      ...{
        name: `savedByNotWaiting${currency}${priceYear}`,
        title: `Saved by not waiting, ${currency} of ${priceYear}`,
      },
      ...{ ...money, of: ({ savedByNotWaiting }) => savedByNotWaiting },
    },
    { name: 'neighbours', title: 'Neighbours', kind: 'count', width: 11, of: ({ neighbours }) => neighbours },
    text('why', 'Why', 11),
    text('reason', 'Reason', 90),
  ];
}

/** Works as they leave, with their reasons. */
export function answeredWorks(program: Program, works: readonly StoredWork[]): ProgramWork[] {
  const terms = sentenceTerms(program);
  return works.map((work) => workAnswer(work, terms));
}
