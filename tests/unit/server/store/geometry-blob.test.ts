import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { LineGeometry } from '../../../../server/schemas/segment.ts';
import { boxOfBlob, decodeGeometry, encodeGeometry, readParts } from '../../../../server/store/sqlite/geometry-blob.ts';

const degrees = (limit: number) => fc.integer({ min: -limit * 1e7, max: limit * 1e7 }).map((units) => units / 1e7);
const position = fc
  .tuple(degrees(180), degrees(90), fc.option(fc.integer({ min: -500_000, max: 9_000_000 })))
  .map(([lon, lat, mm]) => (mm === null ? [lon, lat] : [lon, lat, mm / 1000]));
const line = fc.array(position, { minLength: 2, maxLength: 6 });
const geometries: fc.Arbitrary<LineGeometry> = fc.oneof(
  line.map((coordinates) => ({ type: 'LineString' as const, coordinates })),
  fc
    .array(line, { minLength: 1, maxLength: 4 })
    .map((coordinates) => ({ type: 'MultiLineString' as const, coordinates })),
);

test('a geometry of seven decimals comes back as it was, with its box and parts', () => {
  fc.assert(
    fc.property(geometries, (geometry) => {
      const blob = encodeGeometry(geometry);
      expect(decodeGeometry(blob)).toEqual(geometry);
      const lines = geometry.type === 'LineString' ? [geometry.coordinates] : geometry.coordinates;
      expect(readParts(blob).map((part) => [...part])).toEqual(
        lines.map((points) => points.flatMap((place) => place.slice(0, 2))),
      );
      const lons = lines.flat().map(([lon]) => lon);
      const lats = lines.flat().map(([, lat]) => lat);
      expect(boxOfBlob(blob)).toEqual([Math.min(...lons), Math.min(...lats), Math.max(...lons), Math.max(...lats)]);
    }),
    { seed: 1 },
  );
});

test('finer places are kept to half a ten-millionth of a degree', () => {
  const [[lon, lat]] = decodeGeometry(
    encodeGeometry({
      type: 'LineString',
      coordinates: [
        [-97.123456789, 35.000000049],
        [0, 0],
      ],
    }),
  ).coordinates as number[][];
  expect([lon, lat]).toEqual([-97.1234568, 35]);
});

test.each([
  [Number.NaN, 1],
  [180.001, 1],
  [1, -90.5],
  [1, Number.POSITIVE_INFINITY],
])('a place off the globe is refused, not stored as 0: [%d, %d]', (lon, lat) => {
  const coordinates = [
    [0, 0],
    [lon, lat],
  ];
  expect(() => encodeGeometry({ type: 'LineString', coordinates })).toThrow(/expected longitude -180 to 180/);
});
