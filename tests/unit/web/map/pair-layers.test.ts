import { validateStyleMin } from '@maplibre/maplibre-gl-style-spec';
import { expect, test } from 'vitest';
import { readFeature } from '../../../../web/map/features.ts';
import { mapStyle } from '../../../../web/map/layers.ts';
import { PAIR_EDGES, PAIR_PLACES, type PairPaint, pairSources } from '../../../../web/map/pair-layers.ts';

const pairs: PairPaint = {
  places: [
    { facilityId: 'A', name: 'Runway A', lon: -105, lat: 40 },
    { facilityId: 'B', name: 'Runway B', lon: -105.01, lat: 40.01 },
  ],
  edges: [
    { kind: 'excludes', from: 'A', to: 'B' },
    { kind: 'needs', from: 'B', to: 'C' },
  ],
  chosenId: 'A',
  theme: 'dark',
};

test('an edge joins the middles of a pair; a facility without a place has none', () => {
  const edges = pairSources(pairs)[PAIR_EDGES].features;
  expect(edges.map(({ properties, geometry }) => [properties?.kind, geometry])).toEqual([
    [
      'excludes',
      {
        type: 'LineString',
        coordinates: [
          [-105, 40],
          [-105.01, 40.01],
        ],
      },
    ],
  ]);
});

test('a press on a middle means its facility', () => {
  const [{ geometry, properties }] = pairSources(pairs)[PAIR_PLACES].features;
  expect(readFeature({ geometry, properties: properties ?? {} })).toMatchObject({
    kind: 'run',
    facilityId: 'A',
    segments: 0,
  });
});

test('the style with pairs is one that the map library takes, and names each facility once', () => {
  const empty = { type: 'FeatureCollection', features: [] } as const;
  const style = mapStyle({
    ...{ tilesUrl: 'http://127.0.0.1/{z}/{x}/{y}', baseMapUrl: null, selectedId: null, placeNames: {}, pairs },
    ...{ outline: { ...empty, features: [] }, outlineNames: { ...empty, features: [] } },
    paint: { colourBy: 'due', yearOffset: 0, planningYear: 2026, failureThresholdShare: 0.1, theme: 'dark' },
  });
  expect(validateStyleMin(style).map(({ message }) => message)).toEqual([]);
  const ids = style.layers.map(({ id }) => id);
  expect(ids.indexOf(`${PAIR_EDGES}-excludes`)).toBeGreaterThan(ids.indexOf('segments-sound'));
  expect(ids).not.toContain('runs-labels');
});
