import { createHash } from 'node:crypto';
import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { length } from '@turf/length';
import gjv from 'geojson-validation';
import { Compile } from 'typebox/compile';
import { Value } from 'typebox/value';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { DEMO_SETTINGS, type DemoTruth, makeDemo } from '../../../data-demo/make.ts';
import { distanceKm, type Position } from '../../../data-demo/place.ts';
import { SegmentSchema } from '../../../server/schemas/segment.ts';
import { SettingsSchema } from '../../../server/schemas/settings.ts';
import { type Feature, groupBy, type Row, readFeatures, readTable, without } from './read-demo.ts';

const folder = mkdtempSync(join(tmpdir(), 'demo-'));
const inFolder = (name: string) => join(folder, name);
let truth: DemoTruth;
let segments: Feature[];
let seals: Row[];
let inspections: Row[];
let facilities: Row[];

const refusedIn = (file: string) => truth.refusedRows.filter((refused) => refused.file === file);
const accepted = (name: string, file: string) => without(readTable(inFolder(name), file), refusedIn(file), 2);

beforeAll(async () => {
  truth = await makeDemo({ segments: 6000, outDir: inFolder('main'), seed: 11 });
  segments = without(readFeatures(inFolder('main')), refusedIn('segments.geojson'), 1);
  facilities = accepted('main', 'facilities.csv');
  seals = accepted('main', 'seals.csv');
  inspections = accepted('main', 'inspections.csv');
});
afterAll(() => rmSync(folder, { recursive: true }));

/** SHA-256 of every file of a demo, by name. */
function digests(name: string): Record<string, string> {
  const files = (readdirSync(inFolder(name), { recursive: true }) as string[]).filter((file) =>
    statSync(join(inFolder(name), file)).isFile(),
  );
  return Object.fromEntries(
    files.sort().map((file) => [
      file,
      createHash('sha256')
        .update(readFileSync(join(inFolder(name), file)))
        .digest('hex'),
    ]),
  );
}

describe('the files of the demo', () => {
  test('the same seed and size give the same bytes, another seed gives other records', async () => {
    for (const [name, seed] of [
      ['a', 3],
      ['b', 3],
      ['c', 4],
    ] as const)
      await makeDemo({ segments: 400, outDir: inFolder(name), seed });
    expect(digests('a')).toEqual(digests('b'));
    expect(digests('c')['seals.csv']).not.toBe(digests('a')['seals.csv']);
  });

  test.each([100, 101, 777, 2500])('exactly %i segments are written, with unique ids', async (count) => {
    const made = await makeDemo({ segments: count, outDir: inFolder('sized') });
    const features = readFeatures(inFolder('sized'));
    const refused = made.refusedRows.filter(({ file }) => file === 'segments.geojson');
    const kept = without(features, refused, 1);
    expect(features.length).toBe(count + refused.length);
    expect(new Set(kept.map(({ properties }) => properties.id)).size).toBe(count);
  });

  test('a size, seed or share out of bounds is refused by name', async () => {
    const outDir = inFolder('never');
    await expect(makeDemo({ segments: 99, outDir })).rejects.toThrow(/segments is 99; expected .* 100/);
    await expect(makeDemo({ segments: 200.5, outDir })).rejects.toThrow(RangeError);
    await expect(makeDemo({ segments: 200, outDir, seed: 0.5 })).rejects.toThrow(/seed/);
    await expect(makeDemo({ segments: 200, outDir, inspectionShare: 0 })).rejects.toThrow(/inspectionShare/);
  });

  test('fewer rounds of inspection give fewer inspections', async () => {
    const all = await makeDemo({ segments: 1000, outDir: inFolder('all') });
    const some = await makeDemo({ segments: 1000, outDir: inFolder('some'), inspectionShare: 0.4 });
    const ratio = some.counts.inspections / all.counts.inspections;
    expect(ratio).toBeGreaterThan(0.3);
    expect(ratio).toBeLessThan(0.55);
  });

  test('progress ends at the whole', async () => {
    const seen: number[] = [];
    await makeDemo({
      segments: 500,
      outDir: inFolder('progress'),
      onProgress: (done, inAll) => seen.push(done / inAll),
    });
    expect(seen.at(-1)).toBe(1);
    expect([...seen].sort((a, b) => a - b)).toEqual(seen);
  });

  test('README, truth and settings say that all is invented', () => {
    expect(readFileSync(inFolder('main/README.txt'), 'utf8')).toContain('invented');
    expect(truth.invented).toBe(true);
    expect(JSON.parse(readFileSync(inFolder('main/truth.json'), 'utf8'))).toEqual(JSON.parse(JSON.stringify(truth)));
    for (const [name, value] of Object.entries(DEMO_SETTINGS))
      expect(Value.Check(SettingsSchema.properties[name as keyof typeof DEMO_SETTINGS], value), name).toBe(true);
  });

  test('the files are of the size that a load expects', () => {
    expect(statSync(inFolder('main/segments.geojson')).size).toBeLessThan(6e6);
    expect(statSync(inFolder('main/inspections.csv')).size).toBeLessThan(6e6);
    expect(statSync(inFolder('main/climate.csv')).size).toBeLessThan(6e6);
    expect(seals.length).toBe(truth.counts.sealsRecorded);
    expect(inspections.length).toBe(truth.counts.inspections);
    expect(facilities.length).toBe(truth.counts.facilities);
  });
});

describe('the network', () => {
  test('every segment is as its schema wants it, and belongs to a facility', () => {
    const check = Compile(SegmentSchema);
    const known = new Set(facilities.map(({ id }) => id));
    for (const { properties, geometry } of segments) {
      if (!check.Check({ ...properties, geometry })) expect(check.Errors({ ...properties, geometry })).toEqual([]);
      expect(known.has(properties.facilityId)).toBe(true);
    }
  });

  test('geometry is valid GeoJSON, in the United States, and within 150 km of a station', () => {
    const stations = accepted('main', 'stations.csv').map(
      (row): Position => [Number(row.LONGITUDE), Number(row.LATITUDE)],
    );
    for (const feature of segments) {
      expect(gjv.isFeature(feature, true)).toEqual([]);
      const line = (
        feature.geometry.type === 'LineString' ? feature.geometry.coordinates : feature.geometry.coordinates[0]
      ) as Position[];
      const [lon, lat] = line[0];
      expect(lon > -104 && lon < -92 && lat > 29.7 && lat < 46).toBe(true);
      expect(Math.min(...stations.map((station) => distanceKm(station, line[0])))).toBeLessThan(150);
    }
  });

  test('joints of highways and bridges say their direction and lanes, those of the airport do not', () => {
    const lanesOf = new Map(facilities.map(({ id, lanes }) => [id, Number(lanes)]));
    const kindOf = new Map(facilities.map(({ id, kind }) => [id, kind]));
    for (const { properties } of segments) {
      const { id, facilityId, jointType, direction, firstLane, lastLane } = properties;
      if (!['highway', 'bridge'].includes(kindOf.get(facilityId) ?? '')) {
        expect([direction, firstLane, lastLane], id).toEqual([null, null, null]);
        continue;
      }
      if (direction === null || firstLane === null || lastLane === null) throw new Error(`${id} says no lane`);
      expect(firstLane >= 1 && lastLane <= (lanesOf.get(facilityId) ?? 0) / 2, id).toBe(true);
      if (jointType.startsWith('transverse') || jointType === 'bridge-deck') expect(direction, id).toBe('both');
      if (/-S[LR]$/.test(id)) expect([direction === 'both', lastLane - firstLane], id).toEqual([false, 0]);
    }
  });

  test('lines are as long as their measures say', () => {
    for (const feature of segments) {
      const { jointType, beginM, endM, sealedLengthM } = feature.properties;
      if (beginM === null || endM === null) throw new Error('No measures');
      const drawnM = length(feature, { units: 'meters' });
      const acrossLines = feature.geometry.type === 'MultiLineString' || endM === beginM;
      const expectedM = acrossLines ? sealedLengthM : endM - beginM;
      // Positions are kept to 0.1 m; offset lines are a little longer or shorter in bends, and the map's metres drift.
      expect(Math.abs(drawnM - expectedM), `${feature.properties.id} ${jointType}`).toBeLessThan(
        0.3 + 0.03 * expectedM,
      );
    }
  });

  test('there are highways, bridges, two runways, taxiways and aprons in three districts', () => {
    const kinds = groupBy(facilities, ({ kind }) => kind);
    expect([...kinds.keys()].sort()).toEqual(['apron', 'bridge', 'highway', 'runway', 'taxiway']);
    expect(kinds.get('runway')?.length).toBe(2);
    expect(new Set(facilities.map(({ district }) => district)).size).toBe(3);
    const joints = new Set(segments.map(({ properties }) => properties.jointType));
    expect(joints.size).toBe(7);
    const fuelled = segments.filter(({ properties }) => properties.fuelExposure);
    expect(fuelled.length).toBeGreaterThan(50);
    expect(fuelled.every(({ properties }) => properties.facilityId.startsWith('AP1-P'))).toBe(true);
    expect(truth.counts.unsealedByPolicy).toBeGreaterThan(10);
    expect(truth.counts.leftAlone).toBeGreaterThan(10);
  });
});

describe('the refused rows', () => {
  test('each lies where the truth says, and holds what it says', () => {
    const features = readFeatures(inFolder('main'));
    const tables = new Map<string, Row[]>();
    for (const { file, row, found, kind } of truth.refusedRows) {
      const rows = file === 'segments.geojson' ? [] : (tables.get(file) ?? readTable(inFolder('main'), file));
      tables.set(file, rows);
      const text =
        file === 'segments.geojson' ? JSON.stringify(features[row - 1]) : Object.values(rows[row - 2]).join(',');
      const value = found.replace(/^first position /, '').replace(/^(empty|the same position twice)$/, '');
      expect(text, `${file} row ${row}: ${kind}`).toContain(value);
    }
  });

  test('the small set has one of each kind too, with a line in its README', () => {
    const readme = readFileSync(inFolder('main/flawed/README.txt'), 'utf8');
    expect(truth.flawedRows.map(({ kind }) => kind)).toEqual(truth.refusedRows.map(({ kind }) => kind));
    for (const { file, row, kind } of truth.flawedRows) expect(readme).toContain(`${file} row ${row}: ${kind}`);
    expect(readTable(inFolder('main/flawed'), 'seals.csv').length).toBeLessThan(12);
  });
});
