import type { ExpressionSpecification, FilterSpecification } from 'maplibre-gl';
import type { Theme } from '../state/theme.ts';
import { colourAt, OFF_SCALE } from './colour-scale.ts';
import { IS_UNSEALED } from './expressions.ts';
import { type LineKind, type LineLayer, type MarkedLine, markedLayer, widthOf } from './marked-lines.ts';
import { GROUND } from './palette.ts';

/** What of a program the map shows: one year's work, or the year of each first reseal. */
export interface ProgramPaint {
  readonly mode: 'year' | 'first';
  /** Of the year shown, from the first year of the horizon. */ readonly yearOffset: number;
  /** Of the horizon. */ readonly years: number;
  readonly theme: Theme;
}

/** When a line is worked on, seen from the year shown. */
export type WorkMoment = 'now' | 'before' | 'after' | 'never';

/** Hue, width and dash each tell the four apart alone. */
export const WORK_LINES: Readonly<Record<WorkMoment, MarkedLine>> = {
  now: { colour: { light: '#b3400a', dark: '#fe9929' }, px: 6 },
  before: { colour: { light: '#2a788e', dark: '#35b7a5' }, px: 3 },
  after: { colour: { light: '#5d6664', dark: '#aab3b1' }, px: 2.5, dash: '6 4' },
  never: { colour: { light: '#a9aca5', dark: '#5f6a6b' }, px: 1.5 },
};

const WORK: ExpressionSpecification = ['coalesce', ['get', 'workByYear'], ''];

/** True where any of it is worked on in the years from one offset up to another, which is left out. */
export const workedIn = (from: number, to: number): ExpressionSpecification =>
  to <= from
    ? ['boolean', false]
    : ['all', ['has', 'workByYear'], ['!=', ['slice', WORK, from, to], '0'.repeat(to - from)]];

/** Colour by the year of the first reseal, early to late; never within the horizon in the colour of what is not due. */
export function firstWorkColour({ years, theme }: ProgramPaint): ExpressionSpecification {
  const branches = Array.from({ length: years }, (_, offset) => [
    workedIn(offset, offset + 1),
    firstYearColour(offset, years, theme),
  ]).flat();
  return ['case', ...branches, OFF_SCALE[theme].beyond] as unknown as ExpressionSpecification;
}

/** Place on the colour scale of years: the first is the most urgent. */
export const firstYearColour = (offset: number, years: number, theme: Theme): string =>
  colourAt('due', theme, years === 1 ? 1 : 1 - offset / (years - 1));

/** Lines of a program, on segments and on runs alike. */
export const programLayers = (paint: ProgramPaint, source: string): LineLayer[] =>
  (['runs', 'segments'] as const).flatMap((kind) =>
    paint.mode === 'first' ? firstLayers(kind, paint, source) : yearLayers(kind, paint, source),
  );

function yearLayers(kind: LineKind, { yearOffset, years, theme }: ProgramPaint, source: string): LineLayer[] {
  const now = workedIn(yearOffset, yearOffset + 1);
  const before = workedIn(0, yearOffset);
  const after = workedIn(yearOffset + 1, years);
  const sealed: ExpressionSpecification = ['!', IS_UNSEALED];
  const filters: Readonly<Record<WorkMoment, FilterSpecification>> = {
    never: ['all', sealed, ['!', ['any', now, before, after]]],
    after: ['all', sealed, after, ['!', ['any', now, before]]],
    before: ['all', sealed, before, ['!', now]],
    now: ['all', sealed, now],
  };
  const layer = (moment: WorkMoment): LineLayer =>
    markedLayer(WORK_LINES[moment], {
      ...{ id: `${kind}-work-${moment}`, source, kind, filter: filters[moment], theme },
    });
  const nowLayer = layer('now');
  const casing: LineLayer = {
    ...nowLayer,
    id: `${kind}-work-casing`,
    paint: { 'line-color': GROUND[theme].casing, 'line-width': widthOf(WORK_LINES.now.px + 2) },
  };
  return [layer('never'), layer('after'), layer('before'), casing, nowLayer];
}

function firstLayers(kind: LineKind, paint: ProgramPaint, source: string): LineLayer[] {
  const any = workedIn(0, paint.years);
  const base = {
    type: 'line',
    source,
    'source-layer': kind,
    layout: { 'line-cap': 'round', 'line-join': 'round' },
  } as const;
  const never = WORK_LINES.never;
  return [
    {
      ...base,
      id: `${kind}-work-never`,
      filter: ['all', ['!', IS_UNSEALED], ['!', any]],
      paint: { 'line-color': never.colour[paint.theme], 'line-width': widthOf(never.px) },
    },
    {
      ...base,
      id: `${kind}-work-casing`,
      filter: any,
      paint: { 'line-color': GROUND[paint.theme].casing, 'line-width': widthOf(5.5) },
    },
    {
      ...base,
      id: `${kind}-work-first`,
      filter: any,
      paint: { 'line-color': firstWorkColour(paint), 'line-width': widthOf(4) },
    },
  ];
}

/** Layers of a program that answer to the pointer. */
export const PICKED_PROGRAM_LAYERS = (['segments', 'runs'] as const).flatMap((kind) =>
  ['never', 'after', 'before', 'now', 'first'].map((part) => `${kind}-work-${part}`),
);
