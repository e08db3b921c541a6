import { cp, mkdir } from 'node:fs/promises';
import path from 'node:path';
import { DEMO_FILES, DEMO_SETTINGS, makeDemo } from '../../data-demo/make.ts';
import { runForecast } from '../../server/forecasting/run-forecast.ts';
import { loadFiles } from '../../server/import/load-files.ts';
import type { TaskContext } from '../../server/jobs/task.ts';
import { openSqliteStore } from '../../server/store/sqlite/open.ts';
import type { Store } from '../../server/store/store.ts';
import { madeOnce } from '../run-folder.ts';

const DATABASE = 'kerfcast.sqlite';

/** Long work in this thread, without anybody watching. */
export const quietly = ({ store, dataFolder }: { store: Store; dataFolder: string }): TaskContext => ({
  store,
  dataFolder,
  today: DEMO_SETTINGS.planningDate,
  progress: () => undefined,
  cancelled: () => false,
  keep: () => undefined,
});

export interface DemoStore {
  /** The records as files. */ readonly files: string;
  /** The same records, loaded and forecast: a data folder of the server. */ readonly data: string;
}

/** A demo agency of this size, always the same one. It is made once in a run of the tests: to be read and copied only. */
export async function demoStore(runFolder: string, segments: number): Promise<DemoStore> {
  const folder = await madeOnce(path.join(runFolder, `demo-${segments}`), (fresh) => makeDemoStore(fresh, segments));
  return inFolder(folder);
}

const inFolder = (folder: string): DemoStore => ({
  files: path.join(folder, 'files'),
  data: path.join(folder, 'data'),
});

/** Gives a data folder the records, the forecast and the settings of a demo agency. */
export async function copyDemoStore({ data }: DemoStore, to: string): Promise<void> {
  await mkdir(to, { recursive: true });
  await cp(path.join(data, DATABASE), path.join(to, DATABASE));
}

async function makeDemoStore(folder: string, segments: number): Promise<void> {
  const { files, data } = inFolder(folder);
  await makeDemo({ segments, outDir: files, seed: 1 });
  await mkdir(data);
  const store = openSqliteStore(path.join(data, DATABASE));
  try {
    const context = quietly({ store, dataFolder: data });
    const choices = DEMO_FILES.map((name) => ({ name, path: path.join(files, name), choice: { uploadId: name } }));
    await loadFiles(choices, context);
    await store.writeSettings({ ...(await store.readSettings()), ...DEMO_SETTINGS });
    await runForecast(context);
  } finally {
    await store.close();
  }
}
