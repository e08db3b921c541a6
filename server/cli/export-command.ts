import { createWriteStream } from 'node:fs';
import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import type { ConfigWishes } from '../config.ts';
import { budgetCsv } from '../exports/budget-csv.ts';
import { modelCurvesCsv } from '../exports/model-curves-csv.ts';
import { segmentsCsv, segmentsGeoJson } from '../exports/segments.ts';
import type { Units } from '../exports/units.ts';
import type { Budget } from '../schemas/budget.ts';
import type { Filter } from '../schemas/filter.ts';
import type { ModelReport } from '../schemas/model.ts';
import type { Store } from '../store/store.ts';
import { EXIT, type ExitCode, withStore } from './command-context.ts';

export const EXPORTS = ['segments', 'budget', 'curves'] as const;
export interface ExportOptions extends ConfigWishes {
  readonly what: (typeof EXPORTS)[number];
  readonly format: 'csv' | 'geojson';
  readonly units: Units;
  readonly out?: string;
  readonly filter: Filter;
}

/** Writes what a screen shows to a file, or to standard output. */
export async function exportCommand(options: ExportOptions): Promise<ExitCode> {
  return withStore(options, async (store) => {
    const pieces = await exportPieces(store, options);
    if (!pieces) {
      console.error('Nothing is forecast yet. First load records (kerfcast load FILE...), then run kerfcast forecast.');
      return EXIT.refused;
    }
    if (options.out) await pipeline(Readable.from(pieces), createWriteStream(options.out));
    else for await (const piece of pieces) process.stdout.write(piece);
    return EXIT.done;
  });
}

async function exportPieces(
  store: Store,
  options: ExportOptions,
): Promise<AsyncIterable<string> | Iterable<string> | null> {
  if (options.what === 'segments') {
    return options.format === 'geojson'
      ? segmentsGeoJson(store, options.filter)
      : segmentsCsv(store, options.filter, options.units);
  }
  if (options.what === 'budget') {
    const budget = (await store.readBudget()) as Budget | null;
    return budget && [budgetCsv(budget, options.units)];
  }
  const report = (await store.readModelReport()) as ModelReport | null;
  return report && [modelCurvesCsv(report)];
}
