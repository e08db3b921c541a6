import { readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { cpus, loadavg, totalmem } from 'node:os';
import path from 'node:path';
import { type FigureSheet, SHEET_FOLDER } from './figures.ts';

const RESULTS = 'tests/bench/results.json';

interface Results {
  machine: object;
  sheets: FigureSheet[];
}

/** Puts the figures of a run beside the machine that made them; benches that did not run keep what they had. */
export default async function collectFigures(): Promise<() => Promise<void>> {
  await rm(SHEET_FOLDER, { recursive: true, force: true });
  const [loadBefore] = loadavg();
  return async () => {
    const files = await readdir(SHEET_FOLDER).catch(() => []);
    if (files.length === 0) return;
    const measured = await Promise.all(
      files.map(async (file) => JSON.parse(await readFile(path.join(SHEET_FOLDER, file), 'utf8')) as FigureSheet),
    );
    const before = await readFile(RESULTS, 'utf8').then(
      (text) => (JSON.parse(text) as Results).sheets,
      () => [],
    );
    const kept = before.filter(({ bench }) => !measured.some((sheet) => sheet.bench === bench));
    const sheets = [...kept, ...measured].sort((a, b) => (a.bench < b.bench ? -1 : 1));
    const results: Results = { machine: { ...machine(), loadBefore }, sheets };
    await writeFile(RESULTS, `${JSON.stringify(results, null, 2)}\n`);
    process.stdout.write(`\nFigures are in ${RESULTS}\n`);
  };
}

const machine = () => ({
  measuredOn: new Date().toISOString().slice(0, 10),
  processor: cpus()[0]?.model ?? 'unknown',
  cores: cpus().length,
  memoryGb: Math.round(totalmem() / 2 ** 30),
  node: process.version,
  system: `${process.platform} ${process.arch}`,
});
