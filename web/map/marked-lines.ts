import type { FilterSpecification, LayerSpecification } from 'maplibre-gl';
import type { Theme } from '../state/theme.ts';

export type LineLayer = Extract<LayerSpecification, { type: 'line' }>;
/** Layers of a tile: joints one by one, or runs of them seen from afar. */
export type LineKind = 'segments' | 'runs';

/** How a line is drawn: hue, width and dash each tell it from the others alone. */
export interface MarkedLine {
  readonly colour: Readonly<Record<Theme, string>>;
  readonly px: number;
  /** As in SVG, px. */ readonly dash?: string;
}

/** Width in px, growing with the zoom as those of the joints do. */
export const widthOf = (px: number): NonNullable<LineLayer['paint']>['line-width'] => [
  'interpolate',
  ['exponential', 1.4],
  ['zoom'],
  4,
  px * 0.7,
  11,
  px,
  19,
  px * 3,
];

interface LineAt {
  readonly id: string;
  readonly source: string;
  readonly kind: LineKind;
  readonly filter: FilterSpecification;
  readonly theme: Theme;
}

/** The layer of one mark. */
export const markedLayer = (
  { colour, px, dash }: MarkedLine,
  { id, source, kind, filter, theme }: LineAt,
): LineLayer => ({
  ...{ id, type: 'line', source, 'source-layer': kind, filter },
  layout: { 'line-cap': dash ? 'butt' : 'round', 'line-join': 'round' },
  paint: {
    'line-color': colour[theme],
    'line-width': widthOf(px),
    ...(dash && { 'line-dasharray': dash.split(' ').map((length) => Number(length) / px) }),
  },
});
