import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { buildApp } from '../../server/app.ts';
import { JobRunner } from '../../server/jobs/job-runner.ts';
import { openSqliteStore } from '../../server/store/sqlite/open.ts';

/** The day on which tests take place, so that ages and forecasts never move. */
export const TEST_TODAY = '2026-07-01';

interface StartOptions {
  readonly maxUploadBytes?: number;
  readonly webFolder?: string;
  /** Puts into the data folder what the server finds when it starts. */
  readonly fill?: (dataFolder: string) => Promise<void>;
}

/** The whole server on a store of its own in a temporary folder, without a port: requests by `app.inject`. */
export async function startApp(options: StartOptions = {}) {
  const dataFolder = await mkdtemp(path.join(tmpdir(), 'kerfcast-api-'));
  await options.fill?.(dataFolder);
  const databasePath = path.join(dataFolder, 'kerfcast.sqlite');
  const store = openSqliteStore(databasePath);
  const jobs = new JobRunner({ store, databasePath, dataFolder, today: () => TEST_TODAY });
  const app = await buildApp({
    store,
    jobs,
    databasePath,
    dataFolder,
    webFolder: options.webFolder ?? null,
    maxUploadBytes: options.maxUploadBytes,
  });
  return {
    app,
    store,
    jobs,
    dataFolder,
    databasePath,
    close: async () => {
      await jobs.close();
      await app.close();
      await store.close();
      await rm(dataFolder, { recursive: true, force: true });
    },
  };
}

export type TestApp = Awaited<ReturnType<typeof startApp>>;
