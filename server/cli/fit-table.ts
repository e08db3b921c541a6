import { readFile } from 'node:fs/promises';
import { parse } from 'csv-parse/sync';
import { usesDecimalComma } from '../import/numbers.ts';
import { InputRefused } from './input-refused.ts';

/** A CSV in memory: named columns of text cells, and the spreadsheet row of each. */
export interface FitTable {
  readonly file: string;
  readonly rowNumbers: readonly number[];
  readonly decimalComma: boolean;
  /** @throws InputRefused where the file has no such column */ readonly column: (name: string) => readonly string[];
}

const DELIMITERS = [',', ';', '\t'];

/**
 * Reads a CSV with a header; columns may be set off by commas, semicolons or tabs. Blank lines are passed over.
 * @throws InputRefused naming file, row and field
 */
export async function readFitTable(file: string): Promise<FitTable> {
  const text = await readFile(file, 'utf8').catch((error: NodeJS.ErrnoException) => {
    const found = error.code === 'ENOENT' ? 'not there' : `not readable (${error.code ?? 'unknown error'})`;
    throw new InputRefused({ file, row: 0, field: 'the file', found, expected: 'a CSV file' });
  });
  const records = parseRecords(file, text);
  const header = (records[0] ?? []).map((name) => name.trim());
  if (header.every((name) => name === ''))
    throw new InputRefused({ file, row: 1, field: 'header', found: 'empty', expected: 'a row of column names' });
  const rowNumbers: number[] = [];
  const rows = records.slice(1).filter((cells, i) => {
    if (cells.every((cell) => cell.trim() === '')) return false;
    if (cells.length > header.length)
      throw new InputRefused({
        file,
        row: i + 2,
        field: 'row',
        found: `${cells.length} cells long`,
        expected: `${header.length} cells, as in the header`,
        hint: 'Put quotes round text that holds a comma.',
      });
    rowNumbers.push(i + 2);
    return true;
  });
  if (rows.length === 0)
    throw new InputRefused({
      file,
      row: 2,
      field: 'row',
      found: 'missing',
      expected: 'at least one row under the header',
    });
  const column = (name: string): readonly string[] => {
    const at = header.indexOf(name);
    if (at >= 0 && header.indexOf(name, at + 1) < 0) return rows.map((cells) => (cells[at] ?? '').trim());
    const found = at < 0 ? 'missing' : 'there twice';
    const expected = `one column of that name; the header has ${header.join(', ')}`;
    throw new InputRefused({ file, row: 1, field: `column ${name}`, found, expected });
  };
  const decimalComma = usesDecimalComma(
    rows.flat().map((cell) => cell.trim()),
    delimiterOf(text),
  );
  return { file, rowNumbers, decimalComma, column };
}

function parseRecords(file: string, text: string): string[][] {
  try {
    return parse(text, { bom: true, delimiter: delimiterOf(text), relax_column_count: true });
  } catch (error) {
    const at = (error as { records?: number }).records;
    const found = error instanceof Error ? `not CSV (${error.message})` : 'not CSV';
    throw new InputRefused({
      file,
      row: (at ?? 0) + 1,
      field: 'row',
      found,
      expected: 'cells set off by commas (RFC 4180)',
    });
  }
}

/** The delimiter that the header has most of. */
function delimiterOf(text: string): string {
  const header = text.slice(0, text.search(/\r|\n|$/));
  const counts = DELIMITERS.map((delimiter) => header.split(delimiter).length);
  return DELIMITERS[counts.indexOf(Math.max(...counts))];
}
