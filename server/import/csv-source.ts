import { open } from 'node:fs/promises';
import { parse } from 'csv-parse';
import { type FileBytes, utf8Chunks } from './file-bytes.ts';
import { usesDecimalComma } from './numbers.ts';
import { type FileShape, LONGEST_ROW_BYTES, type RawBatch, type RawRow } from './raw-row.ts';
import { FileRefused, ImportCancelled } from './row-problem.ts';

export interface CsvShape extends FileShape {
  readonly format: 'csv';
  /** Row of the header, counted from 1. */ readonly headerRow: number;
}

/** A refused row's problem goes here; the column is ignored when the mended file comes back. */
export const REASON_COLUMN = 'reason';

const DELIMITER_NAMES: Record<string, string> = { ',': 'comma', ';': 'semicolon', '\t': 'tab', '|': 'vertical bar' };
const MOST_COLUMNS = 500;
const SAMPLE_BLOCKS = 24;
const SAMPLE_BLOCK_BYTES = 32 * 1024;
const HEAD_BYTES = 256 * 1024;

/**
 * Header, delimiter and samples of a CSV file (RFC 4180, and what spreadsheets of other countries make of it).
 * @throws FileRefused when there is no header
 */
export async function csvShape(file: FileBytes, cancelled: () => boolean): Promise<CsvShape> {
  const head = await readHead(file);
  const delimiter = findDelimiter(head);
  const rows = await parseBlock(head, delimiter);
  const headerAt = rows.findIndex((cells) => cells.some((cell) => cell.trim() !== ''));
  if (headerAt < 0) {
    throw new FileRefused({ field: 'header', found: 'empty', expected: 'a row of column names' });
  }
  const columns = rows[headerAt].map((cell) => asWritten(cell).trim());
  while (columns.length > 1 && columns.at(-1) === '') columns.pop();
  if (columns.length > MOST_COLUMNS) {
    throw new FileRefused({
      field: 'header',
      found: `${columns.length} columns`,
      expected: `at most ${MOST_COLUMNS} columns`,
    });
  }
  const sampled = rows.slice(headerAt + 1, file.size > HEAD_BYTES ? -1 : undefined);
  sampled.push(...(await sampleRest(file, delimiter, cancelled)));
  const samples = columns.map((_, i) => sampled.map((cells) => cells[i]?.trim() ?? '').filter((cell) => cell !== ''));
  const decimalComma = usesDecimalComma(samples.flat(), delimiter);
  const notes = [
    ...(delimiter === ',' ? [] : [`Columns are set off by a ${DELIMITER_NAMES[delimiter]}.`]),
    ...(decimalComma ? ['Numbers are written with a decimal comma.'] : []),
  ];
  return { format: 'csv', columns, samples, decimalComma, delimiter, headerRow: headerAt + 1, notes };
}

async function readHead(file: FileBytes): Promise<Buffer> {
  const parts: Buffer[] = [];
  let bytes = 0;
  for await (const chunk of utf8Chunks(file)) {
    parts.push(chunk);
    bytes += chunk.length;
    if (bytes >= HEAD_BYTES) break;
  }
  return Buffer.concat(parts);
}

/** The mark that the first line with text has most of, outside quotes; a comma when it has none. */
function findDelimiter(head: Buffer): string {
  const line =
    head
      .toString('utf8')
      .split(/\r\n|\n|\r/, 50)
      .find((text) => /\S/.test(text)) ?? '';
  const bare = line.replace(/"[^"]*"/g, '');
  let best = ',';
  for (const mark of Object.keys(DELIMITER_NAMES)) {
    if (bare.split(mark).length > bare.split(best).length) best = mark;
  }
  return best;
}

/** Rows of a part of the file; a half row at its edges and any damage are left to the reading of the rows. */
async function parseBlock(bytes: Buffer, delimiter: string): Promise<string[][]> {
  const rows: string[][] = [];
  const parser = new RowParser(delimiter, (cells) => rows.push(cells));
  await parser.push(bytes).catch(() => undefined);
  await parser.end().catch(() => undefined);
  return rows;
}

async function sampleRest(file: FileBytes, delimiter: string, cancelled: () => boolean): Promise<string[][]> {
  if (file.size <= HEAD_BYTES || file.encoding.startsWith('utf-16')) return [];
  const rows: string[][] = [];
  const handle = await open(file.path, 'r');
  try {
    const step = (file.size - HEAD_BYTES) / SAMPLE_BLOCKS;
    for (let block = 0; block < SAMPLE_BLOCKS; block++) {
      if (cancelled()) throw new ImportCancelled();
      const buffer = Buffer.alloc(SAMPLE_BLOCK_BYTES);
      const { bytesRead } = await handle.read(buffer, 0, SAMPLE_BLOCK_BYTES, Math.floor(HEAD_BYTES + block * step));
      const from = buffer.indexOf('\n') + 1;
      const to = buffer.lastIndexOf('\n', bytesRead - 1);
      if (to > from) rows.push(...(await parseBlock(buffer.subarray(from, to), delimiter)));
    }
  } finally {
    await handle.close();
  }
  return rows;
}

/** The rows of a CSV file below its header. Empty rows are passed over but counted, as a spreadsheet does. */
export async function* csvRows(file: FileBytes, shape: CsvShape, cancelled: () => boolean): AsyncGenerator<RawBatch> {
  let rows: RawRow[] = [];
  let row = 0;
  let bytes = 0;
  const parser = new RowParser(shape.delimiter, (cells) => {
    row++;
    if (row > shape.headerRow && cells.some((cell) => cell.trim() !== '')) {
      rows.push(toRow(cells, row, shape.columns.length));
    }
  });
  const takeRows = () => {
    const taken = rows;
    rows = [];
    return taken;
  };
  try {
    for await (const chunk of utf8Chunks(file)) {
      if (cancelled()) throw new ImportCancelled();
      bytes += chunk.length;
      await parser.push(chunk);
      yield { rows: takeRows(), bytes };
    }
    await parser.end();
  } catch (error) {
    if (!isCsvError(error)) throw error;
    rows.push({ row: row + 1, values: [], broken: damage(error.code) });
  }
  yield { rows: takeRows(), bytes };
}

/** An apostrophe before a mark that begins a formula is the spreadsheet's sign for plain text, not part of it. */
const asWritten = (cell: string): string =>
  cell.startsWith("'") && /^'+[=+\-@\t\r]/.test(cell) ? cell.slice(1) : cell;

function toRow(cells: string[], row: number, columns: number): RawRow {
  for (let i = 0; i < cells.length; i++) cells[i] = asWritten(cells[i]);
  const values = cells;
  if (values.length === columns) return { row, values };
  const extra = values.slice(columns);
  if (extra.length > 0 && extra.every((cell) => cell.trim() === '')) {
    return { row, values: values.slice(0, columns) };
  }
  const hint =
    extra.length > 0
      ? `Put quotes round a text that holds the delimiter. Left over: ${extra.join(' ').slice(0, 60)}`
      : 'Is a line broken in two?';
  const broken = {
    field: 'row',
    found: `${values.length} cells`,
    expected: `${columns} cells, as in the header`,
    hint,
  };
  return { row, values: values.slice(0, columns), broken };
}

const isCsvError = (error: unknown): error is Error & { code: string } =>
  error instanceof Error && 'code' in error && String(error.code).startsWith('CSV_');

function damage(code: string): RawRow['broken'] {
  const open = code === 'CSV_QUOTE_NOT_CLOSED';
  return {
    field: 'row',
    found: open ? 'an open quote that never closes' : 'a row without end',
    expected: `rows of at most ${LONGEST_ROW_BYTES / 1_000_000} MB, with quotes in pairs`,
    hint: 'Rows from here on were not read. Look for a stray quote mark in this row.',
  };
}

/** csv-parse fed by hand, so that rows come as soon as their bytes are in. */
class RowParser {
  private readonly parser;

  constructor(delimiter: string, onRow: (cells: string[]) => void) {
    this.parser = parse({
      delimiter,
      relax_column_count: true,
      relax_quotes: true,
      record_delimiter: ['\r\n', '\n', '\r'],
      max_record_size: LONGEST_ROW_BYTES,
      on_record: (cells: string[]) => {
        onRow(cells);
        return null;
      },
    });
    this.parser.on('error', () => undefined); // told to the caller by push and end
    this.parser.resume();
  }

  push(bytes: Buffer): Promise<void> {
    return new Promise((resolve, reject) => {
      this.parser.write(bytes, (error) => (error ? reject(error) : resolve()));
    });
  }

  end(): Promise<void> {
    if (this.parser.errored) return Promise.reject(this.parser.errored);
    return new Promise((resolve, reject) => {
      this.parser.once('error', reject);
      this.parser.once('end', resolve);
      this.parser.end();
    });
  }
}
