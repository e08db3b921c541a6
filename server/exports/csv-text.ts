import { stringify } from 'csv-stringify/sync';

export type Cell = string | number | boolean | null;

/**
 * Rows as CSV text (RFC 4180). Text that a spreadsheet would run as a formula gets a leading apostrophe; numbers stay
 * numbers.
 */
export const csvText = (rows: readonly (readonly Cell[])[]): string =>
  stringify(
    rows.map((row) => row.map(harmless)),
    { cast: { boolean: (value) => String(value) } },
  );

const FORMULA_START = /^[=+\-@\t\r]/;
/** Text that no spreadsheet takes for a formula. */
export const harmless = (cell: Cell): Cell =>
  typeof cell === 'string' && FORMULA_START.test(cell) ? `'${cell}` : cell;
