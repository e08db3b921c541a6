import { expect, test } from 'vitest';
import { placeNames } from '../../../../web/state/place-names.ts';

const NAMES = placeNames([
  { id: 'H1', kind: 'highway', name: 'Highway 12, km 0 to 11', district: 'North' },
  { id: 'H2', kind: 'highway', name: 'Highway 12, km 11 to 20', district: 'North' },
  { id: 'H3', kind: 'highway', name: 'Ring road, east', district: 'South' },
  { id: 'B1', kind: 'bridge', name: 'Bridge of highway 12 at km 11', district: 'North' },
  { id: 'R1', kind: 'runway', name: 'Central Airport, Runway A', district: 'South' },
  { id: 'P1', kind: 'apron', name: 'Central Airport, Cargo apron, north', district: 'South' },
]);

test('what several names begin with is the name of the whole; a name of its own stays whole', () => {
  expect([NAMES.H1.whole, NAMES.H2.whole, NAMES.R1.whole]).toEqual(['Highway 12', 'Highway 12', 'Central Airport']);
  expect(NAMES.H3.whole).toBe('Ring road, east');
});

test('a bridge has no name from afar, since its road carries one', () => {
  expect([NAMES.B1.whole, NAMES.B1.own, NAMES.B1.district]).toEqual(['', 'Bridge of highway 12 at km 11', 'North']);
});

test('near by a runway needs no airport before its name, a stretch of road needs its road', () => {
  expect([NAMES.R1.near, NAMES.P1.near]).toEqual(['Runway A', 'Cargo apron, north']);
  expect(NAMES.H1.near).toBe('Highway 12, km 0 to 11');
});

test('where there is not room for all, airfields go first and bridges last', () => {
  expect([NAMES.R1.rank, NAMES.H1.rank, NAMES.B1.rank]).toEqual([0, 1, 2]);
});
