import fc from 'fast-check';
import { expect, test } from 'vitest';
import { readCamera, readView, writeCamera, writeView, yearOffset } from '../../../../web/state/view.ts';

test('an empty address is the plain view', () => {
  expect(readView(new URLSearchParams())).toEqual({
    camera: null,
    colourBy: 'due',
    year: null,
    segmentId: null,
    sort: 'dueYear',
    descending: false,
  });
});

test('a view written into an address is read back, and the plain view leaves no trace', () => {
  const view = {
    camera: { lon: -93.05, lat: 44.8, zoom: 13.25 },
    colourBy: 'failed',
    year: 2031,
    segmentId: 'SR 12/4',
    sort: 'ageYears',
    descending: true,
  } as const;
  const params = writeView(new URLSearchParams('district=North'), view);
  expect(readView(new URLSearchParams(params.toString()))).toEqual(view);
  const plain = writeView(params, readView(new URLSearchParams()));
  expect(plain.toString()).toBe('district=North');
});

test('a camera comes back within a metre and a hundredth of a zoom', () => {
  fc.assert(
    fc.property(
      fc.double({ min: -180, max: 180, noNaN: true }),
      fc.double({ min: -85, max: 85, noNaN: true }),
      fc.double({ min: 0, max: 22, noNaN: true }),
      (lon, lat, zoom) => {
        const camera = readCamera(writeCamera({ lon, lat, zoom }));
        // A degree of latitude is about 111 km, so 5 decimals leave 0.6 m.
        expect(Math.abs((camera?.lon ?? Number.NaN) - lon)).toBeLessThanOrEqual(5.1e-6);
        expect(Math.abs((camera?.lat ?? Number.NaN) - lat)).toBeLessThanOrEqual(5.1e-6);
        expect(Math.abs((camera?.zoom ?? Number.NaN) - zoom)).toBeLessThanOrEqual(0.0051);
      },
    ),
    { seed: 3 },
  );
});

test.each(['', '1,2', '1,2,3,4', 'a,b,c', '200,0,3', '0,89,3', '0,0,-1', ' , , '])('"%s" is no camera', (text) => {
  expect(readCamera(text)).toBeNull();
});

test('an unknown column or year in the address falls back to the plain view', () => {
  const view = readView(new URLSearchParams('sort=toString&year=soon&colour=red'));
  expect([view.sort, view.year, view.colourBy]).toEqual(['dueYear', null, 'due']);
});

test('the year of the slider is held inside the horizon', () => {
  expect(yearOffset(null, 2026)).toBe(0);
  expect(yearOffset(2030, 2026)).toBe(4);
  expect(yearOffset(2019, 2026)).toBe(0);
  expect(yearOffset(2099, 2026)).toBe(20);
});
