import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { parse } from 'csv-parse/sync';
import type { Segment } from '../../../server/schemas/segment.ts';

export type Row = Record<string, string>;

/** Rows of a CSV file of the demo, by column. */
export const readTable = (folder: string, file: string): Row[] =>
  parse(readFileSync(join(folder, file), 'utf8'), { columns: true }) as Row[];

export interface Feature {
  readonly type: 'Feature';
  readonly properties: Omit<Segment, 'geometry'>;
  readonly geometry: Segment['geometry'];
}

export const readFeatures = (folder: string): Feature[] =>
  (JSON.parse(readFileSync(join(folder, 'segments.geojson'), 'utf8')) as { features: Feature[] }).features;

/** Rows without those at the given places, counted as a spreadsheet counts them. */
export const without = <T>(rows: readonly T[], refused: readonly { row: number }[], firstRow: number): T[] => {
  const places = new Set(refused.map(({ row }) => row));
  return rows.filter((_, i) => !places.has(i + firstRow));
};

export const groupBy = <T>(rows: readonly T[], keyOf: (row: T) => string): Map<string, T[]> => {
  const groups = new Map<string, T[]>();
  for (const row of rows) {
    const group = groups.get(keyOf(row));
    if (group) group.push(row);
    else groups.set(keyOf(row), [row]);
  }
  return groups;
};
