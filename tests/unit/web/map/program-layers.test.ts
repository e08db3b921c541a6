import { createExpression, validateStyleMin } from '@maplibre/maplibre-gl-style-spec';
import { describe, expect, test } from 'vitest';
import { mapStyle, type StyleWants } from '../../../../web/map/layers.ts';
import { firstWorkColour, firstYearColour, type WorkMoment, workedIn } from '../../../../web/map/program-layers.ts';

type Properties = Readonly<Record<string, unknown>>;

/** What the map library itself makes of an expression. */
function evaluate(expression: unknown, properties: Properties): unknown {
  const made = createExpression(expression, 'layers[0].filter');
  if (made.result !== 'success') throw new Error(made.value.map(({ message }) => message).join('; '));
  return made.value.evaluate({ zoom: 10 } as never, { type: 2, properties } as never);
}
const line = (workByYear?: string): Properties => (workByYear === undefined ? {} : { workByYear });

test('work is found in the years of a stretch, and none where a tile says nothing', () => {
  expect(evaluate(workedIn(1, 3), line('00z0'))).toBe(true);
  expect(evaluate(workedIn(0, 2), line('00z0'))).toBe(false);
  expect(evaluate(workedIn(2, 2), line('00z0'))).toBe(false);
  expect(evaluate(workedIn(0, 4), line())).toBe(false);
});

const wants = (mode: 'year' | 'first', yearOffset: number): StyleWants => ({
  tilesUrl: 'http://127.0.0.1/{z}/{x}/{y}',
  outline: { type: 'FeatureCollection', features: [] },
  outlineNames: { type: 'FeatureCollection', features: [] },
  baseMapUrl: null,
  paint: { colourBy: 'due', yearOffset: 0, planningYear: 2026, failureThresholdShare: 0.1, theme: 'light' },
  program: { mode, yearOffset, years: 4, theme: 'light' },
  selectedId: null,
  placeNames: {},
});

describe('seen from one year', () => {
  const momentsOf = (text: string | undefined, yearOffset: number): string[] =>
    (['now', 'before', 'after', 'never'] as WorkMoment[]).filter((moment) => {
      const layer = mapStyle(wants('year', yearOffset)).layers.find(({ id }) => id === `segments-work-${moment}`);
      return layer && 'filter' in layer && evaluate(layer.filter, line(text)) === true;
    });

  test.each([
    ['0z00', 1, 'now'],
    ['z0z0', 1, 'before'],
    ['00z0', 1, 'after'],
    ['0000', 1, 'never'],
    [undefined, 1, 'never'],
    ['zz00', 1, 'now'],
    ['z000', 0, 'now'],
    ['000z', 3, 'now'],
  ])('a line with work %s is drawn once, at offset %i as %s', (text, offset, moment) => {
    expect(momentsOf(text, offset)).toEqual([moment]);
  });
});

test('the colour of a first reseal is that of its first year', () => {
  const paint = { mode: 'first', yearOffset: 0, years: 4, theme: 'light' } as const;
  const of = (text: string) => String(evaluate(firstWorkColour(paint), line(text)));
  expect(of('0z0z')).toBe(of('0z00'));
  expect(new Set(['z000', '0z00', '00z0', '000z', '0000'].map(of)).size).toBe(5);
  expect(firstYearColour(0, 1, 'light')).toBe(firstYearColour(0, 4, 'light'));
});

test.each(['year', 'first'] as const)('the style of a program, %s, is one that the map library takes', (mode) => {
  expect(validateStyleMin(mapStyle(wants(mode, 2))).map(({ message }) => message)).toEqual([]);
});
