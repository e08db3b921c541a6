import { describe, expect, test } from 'vitest';
import { colourAt, colourGradient, colourStops } from '../../../../web/map/colour-scale.ts';
import { GROUND } from '../../../../web/map/palette.ts';

const channels = (colour: string): number[] =>
  colour.startsWith('#')
    ? [1, 3, 5].map((i) => Number.parseInt(colour.slice(i, i + 2), 16))
    : (colour.match(/\d+/g) ?? []).map(Number);

/** Relative luminance, WCAG 2.2. */
const luminance = (colour: string): number => {
  const [r, g, b] = channels(colour).map((value) => {
    const share = value / 255;
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
};
const contrast = (a: string, b: string): number => {
  const [high, low] = [luminance(a), luminance(b)].sort((x, y) => y - x);
  return (high + 0.05) / (low + 0.05);
};
/** CIE 1976 lightness, 0 to 100. */
const lightness = (colour: string): number => 116 * Math.cbrt(luminance(colour)) - 16;

describe.each(['light', 'dark'] as const)('on %s paper', (theme) => {
  describe.each(['due', 'failed'] as const)('the scale of "%s"', (colourBy) => {
    const stops = colourStops(colourBy, theme);

    test('runs from 0 to 1', () => {
      expect(stops[0].at).toBe(0);
      expect(stops.at(-1)?.at).toBe(1);
    });

    test('changes lightness one way and evenly, so that it reads without hue', () => {
      const steps = stops.slice(1).map(({ colour }, i) => lightness(colour) - lightness(stops[i].colour));
      const sign = theme === 'light' ? -1 : 1;
      for (const step of steps) expect(sign * step).toBeGreaterThan(3);
      expect(Math.max(...steps.map(Math.abs)) / Math.min(...steps.map(Math.abs))).toBeLessThan(3);
    });

    test('what is urgent stands off the ground by 3:1 at least (WCAG 2.2, 1.4.11)', () => {
      expect(contrast(stops.at(-1)?.colour ?? '', GROUND[theme].land)).toBeGreaterThan(3);
    });

    test('the calm end is seen too: by itself or by its edge', () => {
      const calm = stops[0].colour;
      const ground = GROUND[theme];
      expect(Math.max(contrast(calm, ground.land), contrast(calm, ground.casing))).toBeGreaterThan(2);
      if (theme === 'light') expect(contrast(ground.casing, ground.land)).toBeGreaterThan(3);
    });

    test('mixing meets the stops and stays inside the scale', () => {
      for (const { at, colour } of stops) expect(channels(colourAt(colourBy, theme, at))).toEqual(channels(colour));
      expect(colourAt(colourBy, theme, -1)).toBe(colourAt(colourBy, theme, 0));
      expect(colourAt(colourBy, theme, 2)).toBe(colourAt(colourBy, theme, 1));
    });
  });
});

test('a legend that starts with the urgent end is the other turned round', () => {
  const [one, other] = [true, false].map((first) => colourGradient('due', 'light', first).match(/#\w{6}/g) ?? []);
  expect(one).toEqual([...other].reverse());
});

test('names and borders of the ground are legible on it', () => {
  for (const theme of ['light', 'dark'] as const) {
    expect(contrast(GROUND[theme].label, GROUND[theme].labelHalo)).toBeGreaterThan(4.5);
    expect(contrast(GROUND[theme].selectedHalo, GROUND[theme].land)).toBeGreaterThan(3);
  }
});
