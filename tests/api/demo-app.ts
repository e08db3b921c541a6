import path from 'node:path';
import { DEMO_SETTINGS, makeDemo } from '../../data-demo/make.ts';
import { runForecast } from '../../server/forecasting/run-forecast.ts';
import { loadFiles } from '../../server/import/load-files.ts';
import type { TaskContext } from '../../server/jobs/task.ts';
import { LOOPBACK } from './load-over-http.ts';
import { startApp, TEST_TODAY, type TestApp } from './start-app.ts';

const FILES = [
  'facilities.csv',
  'segments.geojson',
  'seals.csv',
  'inspections.csv',
  'stations.csv',
  'climate.csv',
  'unit-costs.csv',
];

/** Long work in this thread, without anybody watching. */
export const quietly = ({ store, dataFolder }: TestApp): TaskContext => ({
  store,
  dataFolder,
  today: TEST_TODAY,
  progress: () => undefined,
  cancelled: () => false,
  keep: () => undefined,
});

/** The server with a small demo agency loaded and forecast, always the same one. */
export async function startDemo(segments = 300): Promise<TestApp> {
  const server = await startApp();
  const outDir = path.join(server.dataFolder, 'demo-files');
  await makeDemo({ segments, outDir, seed: 1 });
  const files = FILES.map((name) => ({ name, path: path.join(outDir, name), choice: { uploadId: name } }));
  await loadFiles(files, quietly(server));
  await server.store.writeSettings({ ...(await server.store.readSettings()), ...DEMO_SETTINGS });
  await runForecast(quietly(server));
  return server;
}

/** GET as this computer would, with the answer's JSON. */
export async function getJson<T>({ app }: TestApp, url: string): Promise<T> {
  const answer = await app.inject({ url, headers: LOOPBACK });
  if (answer.statusCode !== 200) throw new Error(`${url} answered ${answer.statusCode}: ${answer.body}`);
  return answer.json();
}

export const queryOf = (members: Readonly<Record<string, string | number | boolean | undefined>>): string =>
  new URLSearchParams(
    Object.entries(members).flatMap(([name, value]) => (value === undefined ? [] : [[name, String(value)]])),
  ).toString();
