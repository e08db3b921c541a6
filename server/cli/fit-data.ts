import type { AftData } from '../../analytics/survival/aft.ts';
import { numberHint, parseNumber } from '../import/numbers.ts';
import { showValue } from '../import/row-problem.ts';
import type { FitTable } from './fit-table.ts';
import { InputRefused } from './input-refused.ts';

export interface FitColumns {
  readonly lower: string;
  readonly upper: string;
  readonly entry?: string;
  readonly weight?: string;
  readonly covariates: readonly string[];
}

/** More levels than this are more likely a key or a note than a class. */
const MOST_LEVELS = 50;

/**
 * The rows of a fit from the columns of a table. An empty lower cell is unbounded below, an empty upper one unbounded
 * above; equal ones are an exact age. A column of text becomes 0/1 columns `name=level` against its first level in
 * alphabetical order.
 * @throws InputRefused naming file, row, field, value and what is allowed
 */
export function fitData(table: FitTable, columns: FitColumns): AftData {
  const entry = columns.entry === undefined ? null : ages(table, columns.entry, () => 0);
  const rows = table.rowNumbers.length;
  const entryAges = entry ?? new Float64Array(rows);
  const data = {
    entry: entryAges,
    lower: ages(table, columns.lower, (i) => entryAges[i]),
    upper: ages(table, columns.upper, () => Infinity),
    weight: columns.weight === undefined ? new Float64Array(rows).fill(1) : weights(table, columns.weight),
  };
  checkBounds(table, columns, data);
  const parts = columns.covariates.flatMap((name) => covariateColumns(table, name));
  checkNames(
    table,
    parts.map((part) => part.name),
  );
  const covariates = new Float64Array(rows * parts.length);
  parts.forEach(({ values }, j) => {
    for (let i = 0; i < rows; i++) covariates[i * parts.length + j] = values[i];
  });
  return { ...data, covariates, names: parts.map((part) => part.name), intercept: true };
}

function refuse(table: FitTable, i: number, field: string, found: string, expected: string): InputRefused {
  const hint = numberHint(found);
  return new InputRefused({
    file: table.file,
    row: table.rowNumbers[i],
    field,
    found: showValue(found),
    expected,
    ...(hint === undefined ? {} : { hint }),
  });
}

function ages(table: FitTable, name: string, whenEmpty: (i: number) => number): Float64Array {
  return Float64Array.from(table.column(name), (cell, i) => {
    if (cell === '') return whenEmpty(i);
    const age = parseNumber(cell, table.decimalComma);
    if (age === null || age < 0) throw refuse(table, i, name, cell, 'an age of 0 or more, or an empty cell');
    return age;
  });
}

function weights(table: FitTable, name: string): Float64Array {
  return Float64Array.from(table.column(name), (cell, i) => {
    const weight = parseNumber(cell, table.decimalComma);
    if (weight === null || weight <= 0) throw refuse(table, i, name, cell, 'a weight above 0');
    return weight;
  });
}

function checkBounds(
  table: FitTable,
  columns: FitColumns,
  { entry, lower, upper }: Pick<AftData, 'entry' | 'lower' | 'upper'>,
): void {
  const lowerCells = table.column(columns.lower);
  for (let i = 0; i < lower.length; i++) {
    if (lowerCells[i] === '' && upper[i] === Infinity)
      throw refuse(table, i, `${columns.lower} and ${columns.upper}`, '', 'a bound in at least one of them');
    if (lower[i] < entry[i]) throw refuse(table, i, columns.lower, lowerCells[i], `at least the entry age ${entry[i]}`);
    if (upper[i] === 0) throw refuse(table, i, columns.upper, '0', 'an age above 0, or an empty cell');
    if (upper[i] < lower[i])
      throw refuse(
        table,
        i,
        columns.upper,
        String(upper[i]),
        `at least ${lower[i]}, the lower bound, or an empty cell`,
      );
  }
}

/** Names of the report's own entries, and each name once: the report lists coefficients by name. */
function checkNames({ file }: FitTable, names: readonly string[]): void {
  names.forEach((name, j) => {
    const reserved = name === '(Intercept)' || name === 'logScale';
    if (!reserved && names.indexOf(name) === j) return;
    const found = reserved ? 'a name of the report itself' : 'given twice';
    throw new InputRefused({ file, row: 1, field: `covariate ${name}`, found, expected: 'each covariate once' });
  });
}

interface NamedColumn {
  readonly name: string;
  readonly values: Float64Array;
}

/** Numbers as they are; text as levels. A column of both is refused: a slip of the pen must not become a level. */
function covariateColumns(table: FitTable, name: string): NamedColumn[] {
  const cells = table.column(name);
  const numbers = cells.map((cell) => parseNumber(cell, table.decimalComma));
  const empty = cells.indexOf('');
  if (empty >= 0) throw refuse(table, empty, name, '', 'a value in every row');
  if (numbers.every((value) => value === null)) return levelColumns(table, name, cells);
  const values = Float64Array.from(numbers, (value, i) => {
    if (value === null) throw refuse(table, i, name, cells[i], 'a number, as in other rows of the column');
    return value;
  });
  return [{ name, values }];
}

function levelColumns(table: FitTable, name: string, cells: readonly string[]): NamedColumn[] {
  // By code unit, so that the reference level does not depend on the machine's language.
  const levels = [...new Set(cells)].sort();
  if (levels.length > MOST_LEVELS || levels.length < 2)
    throw new InputRefused({
      file: table.file,
      row: 1,
      field: `column ${name}`,
      found: `text with ${levels.length} different ${levels.length === 1 ? 'value' : 'values'}`,
      expected: `numbers, or text with 2 to ${MOST_LEVELS} different values`,
    });
  return levels.slice(1).map((level) => ({
    name: `${name}=${level}`,
    values: Float64Array.from(cells, (cell) => (cell === level ? 1 : 0)),
  }));
}
