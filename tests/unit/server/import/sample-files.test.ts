import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import type { ClimateDay } from '../../../../server/schemas/climate.ts';
import type { Facility } from '../../../../server/schemas/facility.ts';
import type { Inspection } from '../../../../server/schemas/inspection.ts';
import type { Seal } from '../../../../server/schemas/seal.ts';
import type { Segment } from '../../../../server/schemas/segment.ts';
import { type Contents, load, sentences } from './agency-files.ts';

const SAMPLES = join(import.meta.dirname, '../../../reference/import');
const folderOf = (name: string): Contents =>
  Object.fromEntries(readdirSync(join(SAMPLES, name)).map((file) => [file, readFileSync(join(SAMPLES, name, file))]));

test('an agency with US customary units', async () => {
  const { store, previews } = await load(folderOf('us-customary'));
  // A width of 12.5 "inches" is half an inch in millimetres: the one slip in the files.
  expect(Object.values(previews).flatMap(sentences)).toEqual([
    'segments.geojsonl row 3, widthMm is 12.5 in (317.5 mm); expected 3 to 100 mm. Is the column in millimetres?',
  ]);
  expect(store.rows<Facility>('facilities')[0]).toMatchObject({
    kind: 'highway',
    lanes: 2,
    widthM: 7.3152,
    truckShare: 0.22,
  });
  expect(store.rows<Segment>('segments')).toMatchObject([
    {
      id: 'I900-0012',
      jointType: 'transverse-contraction',
      slabLengthM: 4.572,
      widthMm: 12.7,
      sealedLengthM: 160.9344,
    },
    { id: 'I900-0012L', jointType: 'longitudinal', widthMm: 9.525, sealedLengthM: 100.584, jointCount: null },
  ]);
  expect(store.rows<Seal>('seals')).toMatchObject([
    {
      sealantClass: 'hot-applied-type-2',
      installedAtC: 20,
      recessMm: 6.35,
      removalReason: 'failed',
      preparation: 'blasted',
    },
    {
      sealantClass: 'silicone-self-levelling',
      installedFrom: '2009-09-01',
      preparation: 'sawn-and-blasted',
      removedOn: null,
    },
    { sealantClass: 'hot-applied', installedFrom: '1997-01-01', installedTo: '1999-12-31', lot: null },
  ]);
  expect(store.rows<Inspection>('inspections')[0]).toMatchObject({
    damagedShare: 0.125,
    damageShares: { 'adhesive-failure': 0.1, 'complete-loss': 0.025 },
    severity: 'moderate',
    notes: 'spalls at the wheel path, right lane',
  });
  // (41 - 32) / 1.8 = 5 °C; 0.11 in = 2.794 mm.
  expect(store.rows<ClimateDay>('climate').slice(0, 3)).toMatchObject([
    { maxC: 5, precipitationMm: 0 },
    { minC: -10, precipitationMm: 2.794 },
    { precipitationMm: 0 },
  ]);
});

test('an office that writes decimal commas in Windows-1252', async () => {
  const { store, previews } = await load(folderOf('decimal-comma'));
  expect(Object.values(previews).flatMap(sentences)).toEqual([]);
  expect(store.rows<Facility>('facilities')).toMatchObject([
    { name: 'Südring (erfunden)', district: 'Süd', widthM: 7.5 },
  ]);
  expect(store.rows<Segment>('segments')).toMatchObject([
    { id: 'F-1', widthMm: 10.5, sealedLengthM: 84.9 },
    { id: 'F-2', widthMm: 8, sealedLengthM: 112.5 },
  ]);
  expect(store.rows<Seal>('seals')).toMatchObject([
    { sealantClass: 'hot-applied', widthMm: 10.5, lot: 'Müller (erfunden)' },
    { sealantClass: 'preformed-compression', widthMm: 7.5 },
  ]);
});
