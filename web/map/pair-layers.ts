import type { ExpressionSpecification, LayerSpecification } from 'maplibre-gl';
import type { Theme } from '../state/theme.ts';
import { GROUND } from './palette.ts';
import { LOCAL_FONT } from './place-labels.ts';

/** A facility at the middle of its joints. */
export interface PairPlace {
  readonly facilityId: string;
  readonly name: string;
  readonly lon: number;
  readonly lat: number;
}
/** Facilities that depend on one another, as a graph on the map. */
export interface PairPaint {
  readonly places: readonly PairPlace[];
  /** excludes: never closed together; needs: work on the first needs the second closed. */
  readonly edges: readonly { readonly kind: 'excludes' | 'needs'; readonly from: string; readonly to: string }[];
  /** Chosen as the first of a new pair. */ readonly chosenId: string | null;
  readonly theme: Theme;
}

export const PAIR_EDGES = 'pair-edges';
export const PAIR_PLACES = 'pair-places';

/** Line and dash tell the two kinds apart without colour. */
export const PAIR_LINES: Readonly<
  Record<
    PairPaint['edges'][number]['kind'],
    { readonly colour: Readonly<Record<Theme, string>>; readonly dash?: readonly number[] }
  >
> = {
  excludes: { colour: { light: '#8a1c5c', dark: '#ff8ccf' } },
  needs: { colour: { light: '#1d5fa8', dark: '#7fb8ff' }, dash: [2, 1.4] },
};

/** Middles as points, pairs as lines between them; a pair with a facility that has no place is left out. */
export function pairSources({ places, edges }: PairPaint): Record<string, GeoJSON.FeatureCollection> {
  const at = new Map(places.map(({ facilityId, lon, lat }) => [facilityId, [lon, lat]]));
  const lines = edges.flatMap(({ kind, from, to }): GeoJSON.Feature[] => {
    const [a, b] = [at.get(from), at.get(to)];
    if (!a || !b) return [];
    return [{ type: 'Feature', properties: { kind }, geometry: { type: 'LineString', coordinates: [a, b] } }];
  });
  const points = places.map(
    ({ facilityId, name, lon, lat }): GeoJSON.Feature => ({
      type: 'Feature',
      // No segments: a press on it means the facility, as a press on a run does.
      properties: { facility: facilityId, name, segments: 0 },
      geometry: { type: 'Point', coordinates: [lon, lat] },
    }),
  );
  return {
    [PAIR_EDGES]: { type: 'FeatureCollection', features: lines },
    [PAIR_PLACES]: { type: 'FeatureCollection', features: points },
  };
}

export function pairLayers({ chosenId, theme }: PairPaint): LayerSpecification[] {
  const ground = GROUND[theme];
  const chosen: ExpressionSpecification = ['==', ['get', 'facility'], chosenId ?? ''];
  const edge = (kind: keyof typeof PAIR_LINES): LayerSpecification => ({
    id: `${PAIR_EDGES}-${kind}`,
    type: 'line',
    source: PAIR_EDGES,
    filter: ['==', ['get', 'kind'], kind],
    layout: { 'line-cap': PAIR_LINES[kind].dash ? 'butt' : 'round' },
    paint: {
      'line-color': PAIR_LINES[kind].colour[theme],
      'line-width': 5,
      ...(PAIR_LINES[kind].dash && { 'line-dasharray': [...PAIR_LINES[kind].dash] }),
    },
  });
  return [
    // An edge crosses the joints of its own facilities: the ground shows on both sides of it.
    {
      id: `${PAIR_EDGES}-casing`,
      type: 'line',
      source: PAIR_EDGES,
      layout: { 'line-cap': 'round' },
      paint: { 'line-color': ground.land, 'line-width': 10 },
    },
    edge('excludes'),
    edge('needs'),
    {
      id: PAIR_PLACES,
      type: 'circle',
      source: PAIR_PLACES,
      paint: {
        'circle-radius': ['case', chosen, 10, 7],
        'circle-color': ['case', chosen, ground.selected, ground.land],
        'circle-stroke-color': ['case', chosen, ground.selectedHalo, ground.label],
        'circle-stroke-width': 2.5,
      },
    },
    {
      id: `${PAIR_PLACES}-names`,
      type: 'symbol',
      source: PAIR_PLACES,
      layout: {
        'text-font': LOCAL_FONT,
        'text-field': ['get', 'name'],
        'text-size': 13,
        'text-anchor': 'left',
        'text-offset': [0.9, 0],
        'text-max-width': 12,
        'text-justify': 'left',
      },
      paint: { 'text-color': ground.label, 'text-halo-color': ground.labelHalo, 'text-halo-width': 1.8 },
    },
  ];
}
