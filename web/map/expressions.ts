import type { ExpressionSpecification } from 'maplibre-gl';
import type { Theme } from '../state/theme.ts';
import { type ColourBy, HORIZON_YEARS } from '../state/view.ts';
import { colourStops, OFF_SCALE } from './colour-scale.ts';

/** Tiles carry each year's probability as one character of this alphabet, level 0 to 61. */
const LEVELS = '0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz';
const TOP_LEVEL = LEVELS.length - 1;

export interface Paint {
  readonly colourBy: ColourBy;
  /** Years after the planning year, 0 to the horizon. */ readonly yearOffset: number;
  readonly planningYear: number;
  readonly failureThresholdShare: number;
  readonly theme: Theme;
}

/** Probability of having failed by the end of a year, read from a tile's text. null: no forecast. */
export function probabilityAt(levels: unknown, yearOffset: number): number | null {
  if (typeof levels !== 'string') return null;
  const level = LEVELS.indexOf(levels.charAt(yearOffset) || ' ');
  return level < 0 ? null : level / TOP_LEVEL;
}

const levelExpression = (yearOffset: number): ExpressionSpecification => [
  'index-of',
  ['slice', ['get', 'p'], yearOffset, yearOffset + 1],
  LEVELS,
];

/** Unsealed by policy: a state that is drawn apart, as dots. */
export const IS_UNSEALED: ExpressionSpecification = ['boolean', ['get', 'unsealed'], false];

/** Colour of a line, for segments and for runs alike. */
export function lineColour(paint: Paint): ExpressionSpecification {
  const off = OFF_SCALE[paint.theme];
  return ['case', ['!', ['has', 'p']], off.none, paint.colourBy === 'due' ? dueColour(paint) : failedColour(paint)];
}

function dueColour({ planningYear, theme }: Paint): ExpressionSpecification {
  const stops = colourStops('due', theme).flatMap(({ at, colour }) => [at, colour]);
  const urgency: ExpressionSpecification = [
    '-',
    1,
    ['/', ['-', ['to-number', ['get', 'due']], planningYear], HORIZON_YEARS],
  ];
  const scale: ExpressionSpecification = ['interpolate', ['linear'], urgency, ...stops];
  return ['case', ['!', ['has', 'due']], OFF_SCALE[theme].beyond, scale];
}

function failedColour({ yearOffset, theme }: Paint): ExpressionSpecification {
  const stops = colourStops('failed', theme).flatMap(({ at, colour }) => [at * TOP_LEVEL, colour]);
  return ['interpolate', ['linear'], levelExpression(yearOffset), ...stops];
}

/** From this share of a run's length on, the run is drawn as distressed. */
export const DISTRESSED_RUN_SHARE = 0.25;

/** Whether a line is drawn as distressed: a segment at or above the threshold, or a run with enough of such length. */
export const isDistressed = ({ failureThresholdShare }: Paint): ExpressionSpecification => [
  'case',
  ['has', 'segments'],
  [
    '>=',
    ['/', ['to-number', ['get', 'distressedM']], ['max', 1, ['to-number', ['get', 'lengthM']]]],
    DISTRESSED_RUN_SHARE,
  ],
  ['>=', ['to-number', ['get', 'damaged'], -1], failureThresholdShare],
];
