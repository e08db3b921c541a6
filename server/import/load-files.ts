import type { FilePreview, Load } from '../schemas/load.ts';
import type { RecordKind } from '../schemas/words.ts';
import type { LoadTransaction, Store, WriteCounts } from '../store/store.ts';
import { checkFiles, type Progress } from './check-files.ts';
import { KIND_ORDER } from './check-rows.ts';
import { type ContextStore, type ImportContext, readImportContext } from './import-context.ts';
import type { ImportFile } from './open-file.ts';

import { ImportCancelled } from './row-problem.ts';

export type { ImportFile };

export interface LoadResult {
  /** One line for each file and kind that it held: a climate file with positions holds stations as well. */
  readonly result: NonNullable<Load['result']>;
  readonly previews: FilePreview[];
}

/** Part of the progress bar that is left for the commit, which rebuilds what hangs on the records. */
const COMMIT_SHARE = 0.05;

/** What a preview or load works with, and who watches it. A task's context will do. */
export interface ImportRun {
  readonly store: ContextStore & Pick<Store, 'beginLoad'>;
  /** ISO day. Nothing in a record may lie after it. */ readonly today: string;
  readonly progress: Progress;
  readonly cancelled: () => boolean;
}

/**
 * What a load of these files would do, without writing a record: columns, units, counts, problems, notes. One preview
 * for each file, in the order given. Refused rows go to the `refusedPath` of their file, where there is one.
 * @throws ImportCancelled when `cancelled` says so
 */
export async function previewFiles(files: readonly ImportFile[], run: ImportRun): Promise<FilePreview[]> {
  const context = await readImportContext(run.store, run.today);
  const progress: Progress = (share, step) => run.progress(share, step);
  return checkFiles({ files, context, progress, cancelled: () => run.cancelled(), sink: () => undefined });
}

/**
 * Writes every accepted row of all files in one transaction: all of them or, when it is cancelled or fails, none.
 * @throws ImportCancelled when `cancelled` says so, and whatever the store throws; nothing is written then
 */
export async function loadFiles(files: readonly ImportFile[], run: ImportRun): Promise<LoadResult> {
  const context = await readImportContext(run.store, run.today);
  const transaction = await run.store.beginLoad();
  try {
    const loaded = await writeAccepted(files, context, transaction, run);
    run.progress(1 - COMMIT_SHARE, 'Finishing the load');
    if (run.cancelled()) throw new ImportCancelled();
    transaction.commit();
    run.progress(1, 'Loaded');
    return loaded;
  } catch (error) {
    transaction.rollback();
    throw error;
  }
}

async function writeAccepted(
  files: readonly ImportFile[],
  context: ImportContext,
  transaction: LoadTransaction,
  run: ImportRun,
): Promise<LoadResult> {
  const counts = files.map(() => new Map<RecordKind, WriteCounts>());
  const previews = await checkFiles({
    files,
    context,
    cancelled: () => run.cancelled(),
    progress: (share, step) => run.progress(share * (1 - COMMIT_SHARE), step),
    sink: (batch, fileIndex) => addCounts(counts[fileIndex], batch.kind, transaction.write(batch)),
  });
  const result = previews.flatMap((preview, fileIndex) => {
    const { kind, file, rowsRefused } = preview;
    if (kind === null) return [];
    const written = counts[fileIndex];
    return KIND_ORDER.filter((each) => each === kind || written.has(each)).map((each) => ({
      file,
      kind: each,
      ...(written.get(each) ?? { inserted: 0, updated: 0, unchanged: 0 }),
      refused: each === kind ? rowsRefused : 0,
    }));
  });
  return { result, previews };
}

function addCounts(counts: Map<RecordKind, WriteCounts>, kind: RecordKind, added: WriteCounts): void {
  const before = counts.get(kind) ?? { inserted: 0, updated: 0, unchanged: 0 };
  counts.set(kind, {
    inserted: before.inserted + added.inserted,
    updated: before.updated + added.updated,
    unchanged: before.unchanged + added.unchanged,
  });
}
