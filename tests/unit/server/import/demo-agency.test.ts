import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { makeDemo } from '../../../../data-demo/make-demo.ts';
import { previewFiles } from '../../../../server/import/load-files.ts';
import { MemoryStore } from './memory-store.ts';

interface RefusedRow {
  file: string;
  row: number;
  field: string;
}
const placeOf = ({ file, row, field }: RefusedRow) => `${file} ${row} ${field}`;

test('of the demo agency, the rows planted to be refused are refused for what is wrong, and no other', async () => {
  const outDir = mkdtempSync(join(tmpdir(), 'kerfcast-demo-'));
  try {
    await makeDemo({ segments: 300, outDir });
    const names = readdirSync(outDir).filter((name) => /\.(csv|geojson)$/.test(name) && !name.startsWith('truth'));
    const files = names.map((name) => ({ choice: { uploadId: name }, path: join(outDir, name), name }));
    const previews = await previewFiles(files, new MemoryStore().run('2026-08-01'));
    const planted = JSON.parse(readFileSync(join(outDir, 'truth.json'), 'utf8')).refusedRows as RefusedRow[];
    const refused = previews.flatMap((each) => each.problems);
    expect(refused.map(placeOf).sort()).toEqual(planted.map(placeOf).sort());
    expect(previews.map((each) => each.kind).sort()).toEqual([
      'climate',
      'facilities',
      'inspections',
      'seals',
      'segments',
      'stations',
      'unit-costs',
    ]);
  } finally {
    rmSync(outDir, { recursive: true, force: true });
  }
});
