import { mkdir, writeFile } from 'node:fs/promises';
import path from 'node:path';

/** One measured figure. `target` says what it is held against, in words. */
export interface Figure {
  readonly what: string;
  readonly value: number;
  readonly unit: string;
  readonly target?: string;
}

export interface FigureSheet {
  readonly bench: string;
  readonly figures: readonly Figure[];
}

export const BENCH_FOLDER = path.resolve('dist/bench');
/** One file for each bench of a run, until all are put together. */
export const SHEET_FOLDER = path.join(BENCH_FOLDER, 'sheets');

const rounded = (value: number): number => Number(value.toPrecision(value >= 1000 ? 5 : 3));

/** Prints the figures of one bench and keeps them for the results of the run. */
export async function keepFigures(bench: string, figures: readonly Figure[]): Promise<void> {
  const sheet: FigureSheet = { bench, figures: figures.map((figure) => ({ ...figure, value: rounded(figure.value) })) };
  await mkdir(SHEET_FOLDER, { recursive: true });
  await writeFile(path.join(SHEET_FOLDER, `${bench}.json`), JSON.stringify(sheet));
  const lines = sheet.figures.map(
    ({ what, value, unit, target }) =>
      `  ${what.padEnd(62)} ${String(value).padStart(9)} ${unit}${target ? `   (target: ${target})` : ''}`,
  );
  process.stdout.write(`\n${bench}\n${lines.join('\n')}\n`);
}

/** The middle and the 95th percentile of some timings. @param values at least one */
export function spreadOf(values: readonly number[]): { p50: number; p95: number; most: number } {
  const sorted = [...values].sort((a, b) => a - b);
  const at = (share: number) => sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))];
  return { p50: at(0.5), p95: at(0.95), most: sorted[sorted.length - 1] };
}
