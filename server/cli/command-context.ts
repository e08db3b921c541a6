import { mkdir } from 'node:fs/promises';
import { type Config, type ConfigWishes, readConfig } from '../config.ts';
import type { TaskContext } from '../jobs/task.ts';
import { openSqliteStore } from '../store/sqlite/open.ts';
import type { Store } from '../store/store.ts';
import { consoleProgress } from './console-progress.ts';

/** Exit codes of every command. */
export const EXIT = { done: 0, refused: 1, usage: 2 } as const;
export type ExitCode = (typeof EXIT)[keyof typeof EXIT];

export const todayIso = (): string => new Date().toISOString().slice(0, 10);

/** Opens the store for one command and closes it whatever happens. */
export async function withStore<T>(
  wishes: ConfigWishes,
  work: (store: Store, context: TaskContext, config: Config) => Promise<T>,
): Promise<T> {
  const config = readConfig(wishes, process.env);
  await mkdir(config.dataFolder, { recursive: true });
  const store = openSqliteStore(config.databasePath);
  const progress = consoleProgress();
  try {
    const context = {
      store,
      dataFolder: config.dataFolder,
      today: todayIso(),
      progress,
      cancelled: () => false,
      keep: () => undefined,
    };
    return await work(store, context, config);
  } finally {
    progress.done();
    await store.close();
  }
}

export const printJson = (value: unknown): void => {
  process.stdout.write(`${JSON.stringify(value, null, 2)}\n`);
};
