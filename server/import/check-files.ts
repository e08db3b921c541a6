import type { FilePreview } from '../schemas/load.ts';
import type { RecordBatch } from '../store/store.ts';
import { AcceptedRecords, checkRow, KIND_ORDER } from './check-rows.ts';
import { boxOfMost, firstPosition, type GeometryRules, withRoom } from './geometry-check.ts';
import type { ImportContext } from './import-context.ts';
import { KnownRecords } from './known-records.ts';
import { type ImportFile, type OpenedFile, openFile, previewOf, type ReadableFile, rawRows } from './open-file.ts';
import type { RawRow } from './raw-row.ts';
import { RefusedCsv } from './refused-csv.ts';
import { ImportCancelled } from './row-problem.ts';
import { RowReader } from './row-reader.ts';

/** `share` of the whole work done, 0 to 1, and what is being done, in words. */
export type Progress = (share: number, step: string) => void;
/** Takes one batch of accepted records of a file. */
export type RecordSink = (batch: RecordBatch, fileIndex: number) => void;

export interface CheckRun {
  readonly files: readonly ImportFile[];
  readonly context: ImportContext;
  readonly progress: Progress;
  readonly cancelled: () => boolean;
  readonly sink: RecordSink;
}

const BATCH_ROWS = 2000;

/**
 * Reads and checks every row of all files, kind after kind whatever the order of the files, and hands accepted records
 * to the sink. Preview and load are this with different sinks. Previews come in the order of the files.
 * @throws ImportCancelled when `cancelled` says so; looked at for every piece of a file and every batch of rows
 */
export async function checkFiles(run: CheckRun): Promise<FilePreview[]> {
  const opened: OpenedFile[] = [];
  for (const file of run.files) {
    run.progress(0, `Looking at ${file.name}`);
    opened.push(await openFile(file, run.cancelled));
  }
  const totalBytes = opened.reduce((sum, { readable }) => sum + (readable?.bytes.size ?? 0), 0);
  const known = new KnownRecords(run.context);
  let doneBytes = 0;
  for (const kind of KIND_ORDER) {
    for (const [fileIndex, { file, report, readable }] of opened.entries()) {
      if (readable?.kind !== kind) continue;
      const checker = new FileChecker({ file, report, readable, fileIndex, known }, run.sink);
      try {
        for await (const { rows, bytes } of rawRows(readable, run.cancelled)) {
          for (let from = 0; from < rows.length; from += BATCH_ROWS) {
            if (run.cancelled()) throw new ImportCancelled();
            checker.check(rows.slice(from, from + BATCH_ROWS));
          }
          const { rowsAccepted, rowsRefused } = report;
          const share = (doneBytes + Math.min(bytes, readable.bytes.size)) / totalBytes;
          run.progress(share, `Checking ${file.name}: ${rowsAccepted + rowsRefused} rows`);
        }
        checker.flush();
      } finally {
        checker.close();
      }
      doneBytes += readable.bytes.size;
    }
  }
  return opened.map(previewOf);
}

interface CheckedFile extends OpenedFile {
  readonly readable: ReadableFile;
  readonly fileIndex: number;
  readonly known: KnownRecords;
}

/** Checks the rows of one file. */
class FileChecker {
  private readonly opened: CheckedFile;
  private readonly sink: RecordSink;
  private readonly reader: RowReader;
  private readonly rules: GeometryRules;
  private readonly refused: RefusedCsv | null;
  private readonly accepted = new AcceptedRecords();

  constructor(opened: CheckedFile, sink: RecordSink) {
    this.opened = opened;
    this.sink = sink;
    const { file, readable, report, known } = opened;
    const { map, shape } = readable;
    const swapLonLat = file.choice.swapLonLat ?? false;
    this.reader = new RowReader(map, shape.decimalComma, report);
    this.rules = geometryRules(readable, known, swapLonLat);
    this.refused = file.refusedPath ? new RefusedCsv({ path: file.refusedPath, shape, map, swapLonLat }) : null;
  }

  check(rows: readonly RawRow[]): void {
    for (const raw of rows) this.checkOne(raw);
    if (this.accepted.size >= BATCH_ROWS) this.flush();
  }

  flush(): void {
    for (const batch of this.accepted.take()) this.sink(batch, this.opened.fileIndex);
  }

  close(): void {
    this.refused?.close();
  }

  private checkOne(raw: RawRow): void {
    const { file, readable, report, known } = this.opened;
    const { reader, rules } = this;
    reader.start(raw.row, raw.values);
    if (raw.broken) reader.problems.push(raw.broken);
    else checkRow(readable.kind, reader, { file: file.name, known, geometryRules: rules }, this.accepted);
    if (reader.problems.length === 0) report.rowsAccepted++;
    else {
      report.refuseRow(raw.row, reader.problems);
      this.refused?.write(raw, reader.problems);
    }
  }
}

function geometryRules({ map, shape }: ReadableFile, known: KnownRecords, swapLonLat: boolean): GeometryRules {
  const geometry = map.byField.get('geometry');
  if (!geometry) return { swapLonLat, expectedBoxes: [] };
  const positions = shape.samples[geometry.index].flatMap((value) => {
    const position = firstPosition(value);
    return position ? [swapLonLat ? ([position[1], position[0]] as const) : position] : [];
  });
  const network = known.bounds();
  const boxes = [network && withRoom(network), boxOfMost(positions)];
  return { swapLonLat, expectedBoxes: boxes.filter((box) => box !== null) };
}
