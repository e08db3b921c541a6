import { type ImportFile, loadFiles, previewFiles } from '../import/load-files.ts';
import type { Load } from '../schemas/load.ts';
import { Uploads } from '../uploads.ts';
import { TaskCancelled, type TaskContext } from './task.ts';

/** Reads the files of a load and says what would be accepted and refused; changes no record. */
export async function previewLoad(loadId: string, context: TaskContext): Promise<void> {
  const load = await readLoad(loadId, context);
  const files = await importFiles(load, context);
  const previews = await previewFiles(files, context);
  if (context.cancelled()) throw new TaskCancelled();
  await context.store.saveLoad({ ...load, state: 'ready', files: previews });
}

/** Writes all accepted rows of a load in one transaction. */
export async function commitLoad(loadId: string, context: TaskContext): Promise<void> {
  const load = await readLoad(loadId, context);
  const files = await importFiles(load, context);
  const { result, previews } = await loadFiles(files, context);
  await context.store.saveLoad({ ...load, state: 'done', files: previews, result });
}

async function readLoad(loadId: string, { store }: TaskContext): Promise<Load> {
  const load = await store.findLoad(loadId);
  if (!load) throw new Error(`No load ${loadId}`);
  return load;
}

function importFiles(load: Load, { dataFolder }: TaskContext): Promise<ImportFile[]> {
  const uploads = new Uploads(dataFolder, Number.MAX_SAFE_INTEGER);
  return Promise.all(
    load.choices.map(async (choice) => {
      const upload = await uploads.find(choice.uploadId);
      if (!upload) throw new Error(`The file of upload ${choice.uploadId} is gone; send it again.`);
      return {
        choice,
        name: upload.name,
        path: uploads.filePath(upload.id),
        refusedPath: uploads.refusedPath(upload.id),
      };
    }),
  );
}
