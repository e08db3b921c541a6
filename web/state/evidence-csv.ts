export type CsvCell = string | number | null;

const FORMULA_START = /^[=+\-@\t\r]/;

/** Rows as CSV text (RFC 4180). Text that a spreadsheet would run as a formula gets a leading apostrophe. */
export const csvText = (rows: readonly (readonly CsvCell[])[]): string =>
  rows.map((row) => `${row.map(written).join(',')}\r\n`).join('');

function written(cell: CsvCell): string {
  if (cell === null) return '';
  if (typeof cell === 'number') return Number.isFinite(cell) ? String(Number(cell.toPrecision(10))) : '';
  const harmless = FORMULA_START.test(cell) ? `'${cell}` : cell;
  return /[",\r\n]/.test(harmless) ? `"${harmless.replaceAll('"', '""')}"` : harmless;
}
