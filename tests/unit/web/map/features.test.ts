import { expect, test } from 'vitest';
import { probabilityAt } from '../../../../web/map/expressions.ts';
import { boxOf, distinctFeatures, type PickedFeature, readFeature } from '../../../../web/map/features.ts';

const line = (...coordinates: [number, number][]): GeoJSON.LineString => ({ type: 'LineString', coordinates });

test('a segment of a tile is read with nulls for what the tile leaves out', () => {
  const feature = readFeature({
    id: 7,
    geometry: line([-93, 44], [-92.9, 44.2]),
    properties: { id: 'A-1', facility: 'SR-12', lengthM: 120, unsealed: false },
  });
  expect(feature).toEqual({
    kind: 'segment',
    id: 'A-1',
    facilityId: 'SR-12',
    direction: null,
    dueYear: null,
    levels: null,
    workByYear: null,
    lengthM: 120,
    damagedShare: null,
    unsealed: false,
    box: [-93, 44, -92.9, 44.2],
  });
});

test('a run is told by its count of segments', () => {
  const run = readFeature({
    id: 3,
    geometry: line([0, 0], [1, 1]),
    properties: { facility: 'B', segments: 25, distressedM: 40, due: 2031 },
  });
  expect(run).toMatchObject({ kind: 'run', id: '3', segments: 25, distressedM: 40, dueYear: 2031 });
});

test('one segment cut by two tiles is listed once, with the box of both parts; soonest due first', () => {
  const part = (id: string, due: number | undefined, ...at: [number, number][]): PickedFeature =>
    readFeature({ geometry: line(...at), properties: { id, facility: 'F', due } });
  const listed = distinctFeatures([
    part('B', undefined, [5, 5], [6, 6]),
    part('A', 2040, [0, 0], [1, 1]),
    part('A', 2040, [1, 1], [2, 3]),
    part('C', 2028, [9, 9], [9, 9]),
  ]);
  expect(listed.map(({ id }) => id)).toEqual(['C', 'A', 'B']);
  expect(listed[1].box).toEqual([0, 0, 2, 3]);
});

test('of those due in one year the likeliest to have failed by now comes first', () => {
  const due = (id: string, levels: string | undefined): PickedFeature =>
    readFeature({ geometry: line([0, 0], [1, 1]), properties: { id, facility: 'F', due: 2030, p: levels } });
  const listed = distinctFeatures([due('none', undefined), due('low', '1z'), due('high', 'y0'), due('low-too', '1z')]);
  expect(listed.map(({ id }) => id)).toEqual(['high', 'low', 'low-too', 'none']);
});

test('the box of several lines holds them all', () => {
  expect(
    boxOf({
      type: 'MultiLineString',
      coordinates: [
        [
          [3, 4],
          [1, 9],
        ],
        [
          [-2, 5],
          [0, 0],
        ],
      ],
    }),
  ).toEqual([-2, 0, 3, 9]);
});

test('a level of the tile alphabet is its place over 61; no forecast is null', () => {
  // 0-9 are levels 0 to 9, A-Z 10 to 35, a-z 36 to 61.
  expect(probabilityAt('0Az', 0)).toBe(0);
  expect(probabilityAt('0Az', 1)).toBeCloseTo(10 / 61, 12);
  expect(probabilityAt('0Az', 2)).toBe(1);
  expect(probabilityAt('0Az', 3)).toBeNull();
  expect(probabilityAt(undefined, 0)).toBeNull();
});
