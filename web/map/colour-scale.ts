import type { Theme } from '../state/theme.ts';
import type { ColourBy } from '../state/view.ts';

/**
 * Two general scientific colour maps, even samples, dark to light. Both change evenly in lightness and stay apart for
 * readers with any common colour blindness.
 * Sources: viridis, S. van der Walt and N. Smith, released to the public domain (CC0);
 * YlOrBr of ColorBrewer, Harrower and Brewer 2003, The Cartographic Journal 40(1): 27-37.
 */
const VIRIDIS = '440154 482475 414487 355f8d 2a788e 21918c 22a884 44bf70 7ad151 bddf26 fde725'.split(' ');
const OCHRE = '662506 993404 cc4c02 ec7014 fe9929 fec44f fee391 fff7bc'.split(' ');

/** What asks for attention must stand off the paper: dark on light paper, light on dark paper. */
const SCALES: Readonly<Record<Theme, Readonly<Record<ColourBy, readonly string[]>>>> = {
  // Late to soon, and unlikely to likely.
  light: { due: VIRIDIS.slice(0, 10).reverse(), failed: [...OCHRE].reverse() },
  dark: { due: VIRIDIS.slice(3), failed: OCHRE.slice(1) },
};

/** Evenly spaced stops from calm to urgent: for `due` from the end of the horizon to now, for `failed` from 0 to 1. */
export const colourStops = (colourBy: ColourBy, theme: Theme): readonly { at: number; colour: string }[] => {
  const samples = SCALES[theme][colourBy];
  return samples.map((hex, i) => ({ at: i / (samples.length - 1), colour: `#${hex}` }));
};

/** The same stops as a CSS gradient, left to right from calm to urgent; or from urgent to calm. */
export function colourGradient(colourBy: ColourBy, theme: Theme, urgentFirst: boolean): string {
  const stops = colourStops(colourBy, theme).map(({ colour }) => colour);
  return `linear-gradient(90deg, ${(urgentFirst ? stops.reverse() : stops).join(', ')})`;
}

/** The colour at a place of the scale, 0 calm to 1 urgent, mixed between the nearest two stops. */
export function colourAt(colourBy: ColourBy, theme: Theme, at: number): string {
  const stops = colourStops(colourBy, theme);
  const place = Math.min(1, Math.max(0, at)) * (stops.length - 1);
  const below = Math.min(stops.length - 2, Math.floor(place));
  const mixed = [1, 3, 5].map((i) => {
    const [a, b] = [stops[below], stops[below + 1]].map(({ colour }) => Number.parseInt(colour.slice(i, i + 2), 16));
    return Math.round(a + (b - a) * (place - below));
  });
  return `rgb(${mixed.join(' ')})`;
}

/** Colours of lines that the scale does not hold. */
export const OFF_SCALE: Readonly<Record<Theme, { beyond: string; none: string; unsealed: string }>> = {
  light: { beyond: '#a9aca5', none: '#6d7674', unsealed: '#33403f' },
  dark: { beyond: '#5f6a6b', none: '#98a3a2', unsealed: '#d7dedb' },
};
