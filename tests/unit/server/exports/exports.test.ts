import { parse } from 'csv-parse/sync';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { csvText } from '../../../../server/exports/csv-text.ts';
import { segmentsCsv, segmentsGeoJson } from '../../../../server/exports/segments.ts';
import { inLengthUnit, inWidthUnit } from '../../../../server/exports/units.ts';
import type { SegmentRow } from '../../../../server/schemas/forecast.ts';
import type { Store } from '../../../../server/store/store.ts';

const row = (id: string, change: Partial<SegmentRow> = {}): SegmentRow => ({
  id,
  facilityId: 'H1',
  facilityName: 'Road 1',
  facilityKind: 'highway',
  district: 'North',
  jointType: 'longitudinal',
  beginM: 0,
  endM: 304.8,
  widthMm: 12.7,
  sealedLengthM: 304.8,
  sealantClass: null,
  installedFrom: null,
  installedTo: null,
  ageYears: null,
  lastInspectedOn: null,
  damagedShare: 0.123456,
  failedNowProbability: null,
  medianFailureYear: null,
  lowerFailureYear: null,
  upperFailureYear: null,
  dueYear: null,
  unsealedByPolicy: false,
  ...change,
});
const LINE = {
  type: 'LineString' as const,
  coordinates: [
    [1, 2],
    [3, 4],
  ],
};

/** A store that exports these batches. */
const storeOf = (...batches: SegmentRow[][]): Store =>
  ({
    modelVersion: async () => 3,
    async *exportSegments(_filter: object, withGeometry: boolean) {
      for (const batch of batches) yield withGeometry ? batch.map((each) => ({ ...each, geometry: LINE })) : batch;
    },
  }) as Partial<Store> as Store;

async function whole(pieces: AsyncIterable<string>): Promise<string> {
  let text = '';
  for await (const piece of pieces) text += piece;
  return text;
}

describe('CSV', () => {
  test('any text comes back from a CSV reader, with an apostrophe before what a spreadsheet would run', () => {
    fc.assert(
      fc.property(fc.array(fc.string({ unit: 'binary' }), { minLength: 2, maxLength: 5 }), (cells) => {
        const [read] = parse(csvText([cells]), { relax_quotes: false }) as string[][];
        expect(read).toEqual(cells.map((cell) => (/^[=+\-@\t\r]/.test(cell) ? `'${cell}` : cell)));
      }),
      { seed: 1, numRuns: 300 },
    );
  });

  test('a negative number stays a number', () => {
    expect(csvText([[-1.5, '-1.5', true, null]])).toBe("-1.5,'-1.5,true,\n");
  });

  test('direction and lanes go out under the names under which they come in', async () => {
    const laned = row('S1', { direction: 'northbound', firstLane: 1, lastLane: 2 });
    const [cells] = parse(await whole(segmentsCsv(storeOf([laned]), {}, 'si')), { columns: true }) as object[];
    expect(cells).toMatchObject({ direction: 'northbound', firstLane: '1', lastLane: '2' });
  });

  test('what is not known is an empty cell, not 0', async () => {
    const [header, line] = (await whole(segmentsCsv(storeOf([row('S1')]), {}, 'si'))).trim().split('\n');
    const cells = Object.fromEntries(header.split(',').map((name, i) => [name, line.split(',')[i]]));
    expect(cells).toMatchObject({ ageYears: '', dueYear: '', sealantClass: '', damagedShare: '0.1235', beginM: '0' });
  });

  test('US columns say so in their names', async () => {
    const [header, line] = (await whole(segmentsCsv(storeOf([row('S1')]), {}, 'us'))).trim().split('\n');
    const cells = Object.fromEntries(header.split(',').map((name, i) => [name, line.split(',')[i]]));
    // 1 ft = 0.3048 m and 1 in = 25.4 mm, exactly.
    expect(cells).toMatchObject({ endFt: '1000', sealedLengthFt: '1000', widthIn: '0.5' });
  });
});

describe('GeoJSON', () => {
  test.each([[[]], [[[]]], [[[row('A')]]], [[[row('A'), row('B')], [], [row('C')]]]])(
    'is whole whatever the batches (%#)',
    async (batches) => {
      const { type, features } = JSON.parse(await whole(segmentsGeoJson(storeOf(...batches), {})));
      expect(type).toBe('FeatureCollection');
      expect(features.map(({ id }: { id: string }) => id)).toEqual(batches.flat().map(({ id }) => id));
      for (const feature of features) {
        expect(feature).toMatchObject({ type: 'Feature', geometry: LINE, properties: { id: feature.id } });
      }
    },
  );
});

test('lengths and widths in US units', () => {
  expect([inLengthUnit(1609.344, 'us'), inWidthUnit(25.4, 'us')]).toEqual([5280, 1]); // the international mile
  expect([inLengthUnit(null, 'us'), inWidthUnit(null, 'si')]).toEqual([null, null]);
});
