import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { COVARIATES as FITTED } from '../../../analytics/survival/covariate-table.ts';
import { DEMO_FILES, type DemoTruth, makeDemo } from '../../../data-demo/make.ts';
import { checkFiles } from '../../../server/import/check-files.ts';

const folder = mkdtempSync(join(tmpdir(), 'demo-refused-'));
let truth: DemoTruth;

beforeAll(async () => {
  truth = await makeDemo({ segments: 800, outDir: folder });
});
afterAll(() => rmSync(folder, { recursive: true }));

/** Loads a folder into nothing, as the preview of an empty store does. */
const preview = (from: string) =>
  checkFiles({
    files: DEMO_FILES.map((name) => ({ choice: { uploadId: name }, path: join(from, name), name })),
    context: {
      today: '2026-07-01',
      facilityDistricts: new Map(),
      segmentKeys: new Set(),
      stationKeys: new Set(),
      sealDates: new Map(),
      bounds: null,
    },
    progress: () => undefined,
    cancelled: () => false,
    sink: () => undefined,
  });

const places = (rows: readonly { file: string; row: number; field: string }[]) =>
  [...new Set(rows.map(({ file, row, field }) => `${file} ${row} ${field}`))].sort();

test('an import refuses the listed rows for the listed fields, and nothing else', async () => {
  const previews = await preview(folder);
  expect(places(previews.flatMap(({ problems }) => problems))).toEqual(places(truth.refusedRows));
});

test('an import refuses each kind of row in the small set, and accepts the sound ones', async () => {
  const previews = await preview(join(folder, 'flawed'));
  expect(places(previews.flatMap(({ problems }) => problems))).toEqual(places(truth.flawedRows));
  for (const { file, rowsAccepted } of previews) expect(rowsAccepted, file).toBeGreaterThan(0);
});

test('the truth names each covariate as a fitted model does', () => {
  expect(truth.model.covariates.map(({ fitName }) => fitName)).toEqual(FITTED.map(({ name }) => name));
});
