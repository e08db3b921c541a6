import type { FileChoice, FilePreview } from '../schemas/load.ts';
import type { RecordKind } from '../schemas/words.ts';
import { type ColumnMap, describeColumns, mapColumns } from './column-map.ts';
import { type CsvShape, csvRows, csvShape } from './csv-source.ts';
import { type FileBytes, inspectBytes, utf8Chunks } from './file-bytes.ts';
import { FileReport } from './file-report.ts';
import { type GeoJsonShape, geoJsonForm, geoJsonRows, geoJsonShape } from './geojson-source.ts';
import type { RawBatch } from './raw-row.ts';
import { recogniseKind } from './recognise-kind.ts';
import { FileRefused, showValue } from './row-problem.ts';

/** One file of a load, and what the user said about it. */
export interface ImportFile {
  readonly choice: FileChoice;
  /** Where its bytes are. */ readonly path: string;
  /** What the user calls it. */ readonly name: string;
  /** Where its refused rows are to be written as CSV; left out, they are not written. No row refused, no file. */
  readonly refusedPath?: string;
}

/** What a file is read as. */
export interface ReadableFile {
  readonly bytes: FileBytes;
  readonly shape: CsvShape | GeoJsonShape;
  readonly kind: RecordKind;
  readonly kindGuessed: boolean;
  readonly map: ColumnMap;
}

export interface OpenedFile {
  readonly file: ImportFile;
  readonly report: FileReport;
  /** Null when the file cannot be read as rows; the report says why. */ readonly readable: ReadableFile | null;
}

/** Finds out what a file is and how its columns are read. A file that cannot be read is reported, not thrown. */
export async function openFile(file: ImportFile, cancelled: () => boolean): Promise<OpenedFile> {
  const report = new FileReport(file.name);
  try {
    const readable = await recognise(file, cancelled);
    for (const note of [...readable.bytes.notes, ...readable.shape.notes, ...readable.map.notes]) report.remark(note);
    return { file, report, readable };
  } catch (error) {
    if (!(error instanceof FileRefused)) throw error;
    report.addProblem(error.row, error.problem);
    return { file, report, readable: null };
  }
}

async function recognise({ choice, path, name }: ImportFile, cancelled: () => boolean): Promise<ReadableFile> {
  const bytes = await inspectBytes(path, cancelled);
  const form = geoJsonForm(await firstBytes(bytes));
  const shape = form === null ? await csvShape(bytes, cancelled) : await geoJsonShape(bytes, form, cancelled);
  const kind = choice.kind ?? (form === null ? recogniseKind(shape.columns, name) : 'segments');
  if (kind === null) {
    throw new FileRefused({
      field: 'header',
      found: showValue(shape.columns.join(', ')),
      expected: 'column names of facilities, segments, seals, inspections, stations, climate or unit costs',
      hint: 'Say what the rows are, and which column is which field.',
    });
  }
  if (form !== null && kind !== 'segments') {
    throw new FileRefused({
      field: 'file',
      found: 'GeoJSON',
      expected: `CSV for ${kind}`,
      hint: 'GeoJSON holds segments.',
    });
  }
  return { bytes, shape, kind, kindGuessed: choice.kind === undefined, map: mapColumns(kind, shape, choice) };
}

async function firstBytes(bytes: FileBytes): Promise<Buffer> {
  for await (const chunk of utf8Chunks(bytes)) return chunk;
  return Buffer.alloc(0);
}

/** The rows of an opened file, as they are. */
export function rawRows({ bytes, shape }: ReadableFile, cancelled: () => boolean): AsyncGenerator<RawBatch> {
  return shape.format === 'csv' ? csvRows(bytes, shape, cancelled) : geoJsonRows(bytes, shape, cancelled);
}

/** What is shown of a file once its rows are checked. */
export function previewOf({ file, report, readable }: OpenedFile): FilePreview {
  return {
    uploadId: file.choice.uploadId,
    file: file.name,
    kind: readable?.kind ?? null,
    kindGuessed: readable?.kindGuessed ?? file.choice.kind === undefined,
    columns: readable ? describeColumns(readable.shape, readable.map) : [],
    missingColumns: [...(readable?.map.missing ?? [])],
    ...report.summary(),
  };
}
