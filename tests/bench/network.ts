import { cp, mkdir, readFile, rename, rm, stat } from 'node:fs/promises';
import path from 'node:path';
import { DEMO_SETTINGS, type DemoTruth, makeDemo } from '../../data-demo/make.ts';
import { openSqliteStore } from '../../server/store/sqlite/open.ts';
import { runCommand } from './command.ts';
import { BENCH_FOLDER } from './figures.ts';

/** The size that the project promises to carry. */
const SEGMENTS = 100_000;
/** With this share of rounds the demo agency has about 300,000 inspections. */
const INSPECTION_SHARE = 0.47;

const FILES = [
  'facilities.csv',
  'segments.geojson',
  'seals.csv',
  'inspections.csv',
  'stations.csv',
  'climate.csv',
  'unit-costs.csv',
];

export interface NetworkFiles {
  readonly folder: string;
  readonly paths: readonly string[];
  readonly counts: DemoTruth['counts'];
}

/** The files of an invented agency of the promised size: made once, kept beside the build. */
export async function networkFiles(): Promise<NetworkFiles> {
  const folder = path.join(BENCH_FOLDER, `files-${SEGMENTS}-${INSPECTION_SHARE}`);
  const truthPath = path.join(folder, 'truth.json');
  if (!(await exists(truthPath))) {
    const making = `${folder}-making`;
    await rm(making, { recursive: true, force: true });
    await makeDemo({ segments: SEGMENTS, outDir: making, inspectionShare: INSPECTION_SHARE });
    await rename(making, folder);
  }
  const { counts } = JSON.parse(await readFile(truthPath, 'utf8')) as DemoTruth;
  return { folder, counts, paths: FILES.map((name) => path.join(folder, name)) };
}

/** Loads the files into a data folder by the command line. The demo holds a few rows to refuse: exit code 1. */
export const loadNetwork = async (dataFolder: string) =>
  runCommand(['load', ...(await networkFiles()).paths, '--data', dataFolder, '--json'], [0, 1]);

/** A data folder of its own for one bench, emptied first. */
export async function freshFolder(name: string): Promise<string> {
  const folder = path.join(BENCH_FOLDER, name);
  await rm(folder, { recursive: true, force: true });
  await mkdir(folder, { recursive: true });
  return folder;
}

/** A copy of the network as loaded and forecast, with the demo's settings. Made anew when the server was built anew. */
export async function forecastNetwork(name: string): Promise<string> {
  const source = path.join(BENCH_FOLDER, 'forecast');
  const built = (await stat('dist/.server-built')).mtimeMs;
  if (!((await exists(source)) && (await stat(source)).mtimeMs > built)) await fill(source);
  const folder = await freshFolder(name);
  await cp(source, folder, { recursive: true });
  return folder;
}

async function fill(target: string): Promise<void> {
  const making = await freshFolder('forecast-making');
  await loadNetwork(making);
  const store = openSqliteStore(path.join(making, 'kerfcast.sqlite'));
  await store.writeSettings({ ...(await store.readSettings()), ...DEMO_SETTINGS });
  await store.close();
  await runCommand(['forecast', '--data', making]);
  await rm(target, { recursive: true, force: true });
  await rename(making, target);
}

const exists = (file: string): Promise<boolean> =>
  stat(file).then(
    () => true,
    () => false,
  );
