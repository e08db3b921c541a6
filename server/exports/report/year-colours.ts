/**
 * Viridis, even samples, dark to light, without the palest: it changes evenly in lightness and stays apart for readers with any
 * common colour blindness. Source: S. van der Walt and N. Smith, released to the public domain (CC0).
 */
const SAMPLES = ['440154', '482475', '414487', '355f8d', '2a788e', '21918c', '22a884', '44bf70', '7ad151', 'bddf26'];
const STOPS = SAMPLES.map((hex) => [0, 2, 4].map((at) => Number.parseInt(hex.slice(at, at + 2), 16)));

/** Not worked on within the horizon. */
export const NO_WORK = '#b4b7b0';

/** Colour of year `y` of `years`: the first is darkest. */
export function yearColour(y: number, years: number): string {
  const place = years > 1 ? (y / (years - 1)) * (STOPS.length - 1) : 0;
  const below = Math.min(STOPS.length - 2, Math.floor(place));
  const mixed = STOPS[below].map((from, k) => Math.round(from + (STOPS[below + 1][k] - from) * (place - below)));
  return `#${mixed.map((value) => value.toString(16).padStart(2, '0')).join('')}`;
}

/**
 * Width of a line of that year, points: the sooner, the wider. Drawn from the soonest to the latest, lines that lie on one
 * another all show, and nothing hangs on colour alone.
 */
export const yearWidth = (y: number, years: number): number => 4 - (3.3 * y) / Math.max(1, years - 1);
