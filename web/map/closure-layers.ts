import type { ExpressionSpecification, FilterSpecification } from 'maplibre-gl';
import type { Theme } from '../state/theme.ts';
import { type LineKind, type LineLayer, type MarkedLine, markedLayer, widthOf } from './marked-lines.ts';
import { GROUND } from './palette.ts';

/** What of a day the map shows: what is closed, and the segments worked on. */
export interface ClosurePaint {
  /** Closed as a whole. */ readonly facilityIds: readonly string[];
  /** Closed in one direction, as `facility|direction`. */ readonly parts: readonly string[];
  readonly segmentIds: readonly string[];
  readonly theme: Theme;
}

/** Hue, width and dash each tell the three apart alone. */
export const CLOSURE_LINES: Readonly<Record<'worked' | 'closed' | 'open', MarkedLine>> = {
  worked: { colour: { light: '#b3400a', dark: '#fe9929' }, px: 6 },
  closed: { colour: { light: '#2a788e', dark: '#35b7a5' }, px: 4, dash: '6 3' },
  open: { colour: { light: '#a9aca5', dark: '#5f6a6b' }, px: 1.5 },
};

const among = (property: string, values: readonly string[]): ExpressionSpecification => [
  'in',
  ['get', property],
  ['literal', [...values]],
];

/** Of a segment: "H7|northbound". Joints across or between the directions belong to each. */
const PART_OF: ExpressionSpecification = [
  'concat',
  ['get', 'facility'],
  '|',
  ['coalesce', ['get', 'direction'], 'both'],
];
const facilityOf = (part: string): string => part.slice(0, part.lastIndexOf('|'));

/** A run is not told by direction: it is closed where any of it is. */
function closedLines(kind: LineKind, { facilityIds, parts }: ClosurePaint): ExpressionSpecification {
  const partly = parts.map(facilityOf);
  if (kind === 'runs') return among('facility', [...facilityIds, ...partly]);
  const named = [...parts, ...partly.map((facility) => `${facility}|both`)];
  return ['any', among('facility', facilityIds), ['in', PART_OF, ['literal', named]]];
}

/** Lines of a day, on segments and on runs alike; a run is not told by segment, so it is closed or open. */
export const closureLayers = (paint: ClosurePaint, source: string): LineLayer[] =>
  (['runs', 'segments'] as const).flatMap((kind) => dayLayers(kind, paint, source));

function dayLayers(kind: LineKind, paint: ClosurePaint, source: string): LineLayer[] {
  const { segmentIds, theme } = paint;
  const closed = closedLines(kind, paint);
  const worked: ExpressionSpecification = kind === 'runs' ? ['boolean', false] : among('id', segmentIds);
  const layer = (state: keyof typeof CLOSURE_LINES, filter: FilterSpecification): LineLayer =>
    markedLayer(CLOSURE_LINES[state], { id: `${kind}-closure-${state}`, source, kind, filter, theme });
  const workedLayer = layer('worked', worked);
  const casing: LineLayer = {
    ...workedLayer,
    id: `${kind}-closure-casing`,
    paint: { 'line-color': GROUND[theme].casing, 'line-width': widthOf(CLOSURE_LINES.worked.px + 2) },
  };
  return [layer('open', ['!', closed]), layer('closed', ['all', closed, ['!', worked]]), casing, workedLayer];
}

/** Layers of a day that answer to the pointer. */
export const PICKED_CLOSURE_LAYERS = (['segments', 'runs'] as const).flatMap((kind) =>
  ['open', 'closed', 'worked'].map((part) => `${kind}-closure-${part}`),
);
