import type { FilterSpecification, LayerSpecification, StyleSpecification } from 'maplibre-gl';
import type { PlaceNames } from '../state/place-names.ts';
import { type ClosurePaint, closureLayers, PICKED_CLOSURE_LAYERS } from './closure-layers.ts';
import { OFF_SCALE } from './colour-scale.ts';
import { IS_UNSEALED, isDistressed, lineColour, type Paint } from './expressions.ts';
import { PAIR_PLACES, type PairPaint, pairLayers, pairSources } from './pair-layers.ts';
import { GROUND, type Ground } from './palette.ts';
import { LOCAL_FONT, runLabels, segmentLabels } from './place-labels.ts';
import { PICKED_PROGRAM_LAYERS, type ProgramPaint, programLayers } from './program-layers.ts';

/** Below this zoom tiles hold runs (contiguous segments merged), from it on single segments. */
export const SEGMENT_ZOOM = 12;
export const JOINTS = 'joints';
const OUTLINE = 'outline';
const OUTLINE_NAMES = 'outline-names';
const BASE_MAP = 'base-map';

/** Layers that answer to the pointer. */
export const PICKED_LAYERS = [
  PAIR_PLACES,
  'segments-sound',
  'segments-distressed',
  'segments-unsealed',
  'runs-sound',
  'runs-distressed',
  ...PICKED_PROGRAM_LAYERS,
  ...PICKED_CLOSURE_LAYERS,
];

type Kind = 'segments' | 'runs';
type LineLayer = Extract<LayerSpecification, { type: 'line' }>;

export interface StyleWants {
  readonly tilesUrl: string | null;
  readonly outline: GeoJSON.FeatureCollection;
  /** A point for each state, with its name. */ readonly outlineNames: GeoJSON.FeatureCollection;
  readonly baseMapUrl: string | null;
  readonly paint: Paint;
  /** Draws the work of a program in place of due years and failures. */ readonly program?: ProgramPaint;
  /** A graph of facilities over the joints, in place of their own names. */ readonly pairs?: PairPaint;
  /** Draws what is closed on a day in their place. */ readonly closures?: ClosurePaint;
  readonly selectedId: string | null;
  /** By facility id, for labels. */ readonly placeNames: Readonly<Record<string, PlaceNames>>;
}

/** The whole style, made anew after each change; `applyStyle` brings only what differs to the map. */
export function mapStyle(wants: StyleWants): StyleSpecification {
  const ground = GROUND[wants.paint.theme];
  return {
    version: 8,
    sources: {
      [OUTLINE]: { type: 'geojson', data: wants.outline, attribution: 'Outline: US Census Bureau' },
      [OUTLINE_NAMES]: { type: 'geojson', data: wants.outlineNames },
      ...(wants.baseMapUrl && {
        [BASE_MAP]: { type: 'raster', tiles: [wants.baseMapUrl], tileSize: 256, attribution: 'Base map as configured' },
      }),
      ...(wants.tilesUrl && { [JOINTS]: { type: 'vector', tiles: [wants.tilesUrl], minzoom: 0, maxzoom: 16 } }),
      ...(wants.pairs && pairData(wants.pairs)),
    },
    layers: [
      { id: 'sea', type: 'background', paint: { 'background-color': ground.sea } },
      { id: 'land', type: 'fill', source: OUTLINE, paint: { 'fill-color': ground.land } },
      {
        id: 'borders',
        type: 'line',
        source: OUTLINE,
        paint: { 'line-color': ground.border, 'line-width': ['interpolate', ['linear'], ['zoom'], 3, 0.7, 9, 1.6] },
      },
      ...(wants.baseMapUrl ? [{ id: 'base-map', type: 'raster', source: BASE_MAP } as const] : [stateNames(ground)]),
      ...(wants.tilesUrl ? jointLayers(wants) : []),
      ...(wants.pairs ? pairLayers(wants.pairs) : []),
    ],
  };
}

const pairData = (pairs: PairPaint): StyleSpecification['sources'] =>
  Object.fromEntries(
    Object.entries(pairSources(pairs)).map(([name, data]) => [name, { type: 'geojson', data } as const]),
  );

function stateNames(ground: Ground): LayerSpecification {
  return {
    id: 'state-names',
    type: 'symbol',
    source: OUTLINE_NAMES,
    maxzoom: 9,
    layout: { 'text-font': LOCAL_FONT, 'text-field': ['get', 'name'], 'text-size': 12, 'text-letter-spacing': 0.12 },
    paint: { 'text-color': ground.stateName, 'text-halo-color': ground.land, 'text-halo-width': 1 },
  };
}

function jointLayers(wants: StyleWants): LayerSpecification[] {
  const labels = { names: wants.placeNames, theme: wants.paint.theme, source: JOINTS };
  const drawn = drawnLayers(wants);
  if (wants.pairs) return drawn;
  return [...drawn, ...selection(wants), runLabels(labels), segmentLabels(labels)];
}

function drawnLayers({ program, closures, paint }: StyleWants): LineLayer[] {
  if (program) return programLayers(program, JOINTS);
  if (closures) return closureLayers(closures, JOINTS);
  return [...lines('runs', paint), ...lines('segments', paint)];
}

/** Width in px by zoom, `times` the plain line's plus an edge that thins out from afar. */
const width = (times: number, edgePx: number): NonNullable<LineLayer['paint']>['line-width'] => {
  const at = (linePx: number, edge: number) => linePx * times + edgePx * edge;
  return [
    'interpolate',
    ['exponential', 1.4],
    ['zoom'],
    4,
    at(2, 0.5),
    11,
    at(3, 0.7),
    15,
    at(3.6, 0.9),
    19,
    at(11, 1),
  ];
};

function lines(kind: Kind, paint: Paint): LineLayer[] {
  const distressed: FilterSpecification = ['all', ['!', IS_UNSEALED], isDistressed(paint)];
  const base = { type: 'line', source: JOINTS, 'source-layer': kind } as const;
  const sound: FilterSpecification = ['all', ['!', IS_UNSEALED], ['!', isDistressed(paint)]];
  const round = { 'line-cap': 'round', 'line-join': 'round' } as const;
  const butt = { 'line-cap': 'butt', 'line-join': 'round' } as const;
  const casing = { 'line-color': GROUND[paint.theme].casing };
  return [
    { ...base, id: `${kind}-casing`, filter: sound, layout: round, paint: { ...casing, 'line-width': width(1, 1.4) } },
    {
      ...base,
      id: `${kind}-sound`,
      filter: sound,
      layout: round,
      paint: { 'line-color': lineColour(paint), 'line-width': width(1, 0) },
    },
    {
      ...base,
      id: `${kind}-distressed-casing`,
      filter: distressed,
      layout: butt,
      paint: { ...casing, 'line-width': width(2.1, 1.6) },
    },
    // Between the dashes the ground shows, not the casing: dark dashes would be lost on it.
    {
      ...base,
      id: `${kind}-distressed-gap`,
      filter: distressed,
      layout: butt,
      paint: { 'line-color': GROUND[paint.theme].gap, 'line-width': width(2.1, 0) },
    },
    {
      ...base,
      id: `${kind}-distressed`,
      filter: distressed,
      layout: butt,
      paint: { 'line-color': lineColour(paint), 'line-width': width(2.1, 0), 'line-dasharray': [1.1, 0.5] },
    },
    {
      ...base,
      id: `${kind}-unsealed`,
      filter: IS_UNSEALED,
      layout: round,
      paint: { 'line-color': OFF_SCALE[paint.theme].unsealed, 'line-width': width(0.7, 0), 'line-dasharray': [0.1, 2] },
    },
  ];
}

function selection({ paint, selectedId }: StyleWants): LineLayer[] {
  const ground = GROUND[paint.theme];
  const base = {
    type: 'line',
    source: JOINTS,
    'source-layer': 'segments',
    layout: { 'line-cap': 'round', 'line-join': 'round' },
  } as const;
  const filter: FilterSpecification = ['==', ['get', 'id'], selectedId ?? ''];
  return [
    {
      ...base,
      filter,
      id: 'selected-halo',
      paint: { 'line-color': ground.selectedHalo, 'line-width': 3, 'line-gap-width': width(2.1, 7) },
    },
    {
      ...base,
      filter,
      id: 'selected',
      paint: { 'line-color': ground.selected, 'line-width': 4, 'line-gap-width': width(2.1, 2) },
    },
  ];
}
