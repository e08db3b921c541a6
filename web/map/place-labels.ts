import type { DataDrivenPropertyValueSpecification, ExpressionSpecification, LayerSpecification } from 'maplibre-gl';
import type { PlaceNames } from '../state/place-names.ts';
import type { Theme } from '../state/theme.ts';
import { GROUND } from './palette.ts';

type Text = DataDrivenPropertyValueSpecification<string>;
type SymbolLayer = Extract<LayerSpecification, { type: 'symbol' }>;

export interface LabelWants {
  readonly names: Readonly<Record<string, PlaceNames>>;
  readonly theme: Theme;
  readonly source: string;
}

/** No glyph files: letters are drawn with a font of the reader's own system. */
export const LOCAL_FONT = ['sans-serif'];

/** Below it a district is a knot of lines; from the other on each facility has room for its own name. */
const WHOLE_ZOOM = 6.5;
const OWN_ZOOM = 10.5;

const lookUp = (names: LabelWants['names'], kind: keyof PlaceNames): ExpressionSpecification => {
  const byId = Object.fromEntries(Object.entries(names).map(([id, each]) => [id, each[kind]]));
  return ['get', ['get', 'facility'], ['literal', byId]];
};
/** One kind of name for each facility; one that is not in the list goes by its id. */
const named = (names: LabelWants['names'], kind: 'district' | 'whole' | 'own' | 'near'): Text =>
  ['coalesce', lookUp(names, kind), ['get', 'facility']] as Text;

/** Names beside the runs, one for a whole district from afar, and none too near another. */
export function runLabels({ names, theme, source }: LabelWants): SymbolLayer {
  const text = [
    'step',
    ['zoom'],
    named(names, 'district'),
    WHOLE_ZOOM,
    named(names, 'whole'),
    OWN_ZOOM,
    named(names, 'own'),
  ];
  return {
    id: 'runs-labels',
    type: 'symbol',
    source,
    'source-layer': 'runs',
    layout: {
      'symbol-placement': 'point',
      'symbol-sort-key': ['to-number', lookUp(names, 'rank'), 1],
      'text-anchor': 'bottom-left',
      'text-justify': 'left',
      'text-offset': [0.6, -0.5],
      'text-max-width': 14,
      // From afar the runs of one district would each ask for its name.
      'text-padding': ['interpolate', ['linear'], ['zoom'], 3, 40, WHOLE_ZOOM, 70, OWN_ZOOM, 30],
      'text-font': LOCAL_FONT,
      'text-field': text as Text,
      'text-size': 12.5,
    },
    paint: labelPaint(theme),
  };
}

/** Names along the joints themselves. */
export function segmentLabels({ names, theme, source }: LabelWants): SymbolLayer {
  return {
    id: 'segments-labels',
    type: 'symbol',
    source,
    'source-layer': 'segments',
    layout: {
      'symbol-placement': 'line',
      'symbol-spacing': 420,
      'text-padding': 12,
      'text-offset': [0, 1.1],
      'text-font': LOCAL_FONT,
      'text-field': named(names, 'near'),
      'text-size': 12,
      'text-max-angle': 30,
    },
    paint: labelPaint(theme),
  };
}

const labelPaint = (theme: Theme): SymbolLayer['paint'] => ({
  'text-color': GROUND[theme].label,
  'text-halo-color': GROUND[theme].labelHalo,
  'text-halo-width': 1.6,
});
