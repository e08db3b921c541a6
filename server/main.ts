import { mkdir } from 'node:fs/promises';
import { fileURLToPath } from 'node:url';
import { buildApp } from './app.ts';
import type { Config } from './config.ts';
import { ensureEvidence, evidenceAfter } from './evidence/keep-evidence.ts';
import { JobRunner } from './jobs/job-runner.ts';
import { openSqliteStore } from './store/sqlite/open.ts';
import { makeFirstTiles } from './tiles/first-tiles.ts';
import { TileService } from './tiles/tile-service.ts';

const WEB_FOLDER = fileURLToPath(new URL('../web', import.meta.url));

export interface RunningServer {
  /** Where it answers, e.g. http://127.0.0.1:8080 */ readonly address: string;
  readonly interrupted: number;
  close(): Promise<void>;
}

/**
 * Opens the store, marks what an earlier stop interrupted, and listens. What the first screen asks for is made before: totals
 * and tiles of a large network take a second or two that its first visitor would wait for.
 */
export async function startServer(config: Config): Promise<RunningServer> {
  await mkdir(config.dataFolder, { recursive: true });
  const store = openSqliteStore(config.databasePath);
  const interrupted = await store.recoverInterrupted();
  await store.summarise({});
  const tiles = new TileService(store);
  await makeFirstTiles(store, tiles);
  const jobs: JobRunner = new JobRunner({
    store,
    databasePath: config.databasePath,
    dataFolder: config.dataFolder,
    afterJob: (job) => evidenceAfter(job, store, jobs),
  });
  const app = await buildApp({
    store,
    jobs,
    tiles,
    databasePath: config.databasePath,
    dataFolder: config.dataFolder,
    webFolder: WEB_FOLDER,
    logLevel: 'error',
  });
  await app.listen({ host: config.host, port: config.port });
  await ensureEvidence(store, jobs);
  const { port } = app.server.address() as { port: number };
  return {
    address: `http://${config.host.includes(':') ? `[${config.host}]` : config.host}:${port}`,
    interrupted,
    close: async () => {
      await jobs.close();
      app.server.closeAllConnections();
      await app.close();
      await store.close();
    },
  };
}
