import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import type { TestProject } from 'vitest/node';
import { DEMO_FILES, DEMO_SETTINGS, makeDemo } from '../../data-demo/make.ts';
import { runForecast } from '../../server/forecasting/run-forecast.ts';
import { loadFiles } from '../../server/import/load-files.ts';
import { openSqliteStore } from '../../server/store/sqlite/open.ts';

declare module 'vitest' {
  interface ProvidedContext {
    /** Where the demo agency is served. */ address: string;
    /** The files that it was loaded from. */ demoFiles: string;
  }
}

const SEGMENTS = 1_200;

/** Serves a small demo agency, as built, to all browser tests; ends it by its process id. */
export default async function serveDemo(project: TestProject): Promise<() => Promise<void>> {
  const folder = await mkdtemp(path.join(tmpdir(), 'kerfcast-browser-'));
  const demoFiles = path.join(folder, 'files');
  await makeDemo({ segments: SEGMENTS, outDir: demoFiles, seed: 1 });
  await fillStore(folder, demoFiles);
  const { server, address } = await serve(folder);
  project.provide('address', address);
  project.provide('demoFiles', demoFiles);
  return async () => {
    const gone = new Promise((resolve) => server.once('exit', resolve));
    server.kill('SIGTERM');
    await gone;
    await rm(folder, { recursive: true, force: true });
  };
}

async function fillStore(folder: string, demoFiles: string): Promise<void> {
  const store = openSqliteStore(path.join(folder, 'kerfcast.sqlite'));
  const context = {
    store,
    dataFolder: folder,
    today: DEMO_SETTINGS.planningDate,
    progress: () => undefined,
    cancelled: () => false,
  };
  const files = DEMO_FILES.map((name) => ({ name, path: path.join(demoFiles, name), choice: { uploadId: name } }));
  await loadFiles(files, context);
  await store.writeSettings({ ...(await store.readSettings()), ...DEMO_SETTINGS });
  await runForecast(context);
  await store.close();
}

async function serve(folder: string): Promise<{ server: ChildProcess; address: string }> {
  const server = spawn(process.execPath, ['dist/server/cli/main.js', 'serve', '--port', '0', '--data', folder], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  const address = await new Promise<string>((resolve, reject) => {
    let text = '';
    server.stdout?.on('data', (chunk: Buffer) => {
      text += chunk.toString();
      const found = /Kerfcast is at (\S+)/.exec(text);
      if (found) resolve(found[1]);
    });
    server.once('exit', () => reject(new Error(`the server ended before it served: ${text}`)));
  });
  return { server, address };
}
