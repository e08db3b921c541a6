import type { Interval } from '../../schemas/common.ts';
import type { Units } from '../units.ts';

const M_PER_MILE = 1609.344;

const grouped = (value: number, digits: number): string =>
  value.toLocaleString('en-US', { minimumFractionDigits: digits, maximumFractionDigits: digits });

/** A way to write figures of one kind so that they stand under one another. */
export interface FigureScale {
  /** Of the heading, e.g. `USD million`. */ readonly unit: string;
  readonly say: (value: number) => string;
}

/** Money in units, thousands or millions, by the largest that is told. */
export function moneyScale(currency: string, largest: number): FigureScale {
  const [per, word] = largest >= 2e6 ? [1e6, ' million'] : largest >= 2e4 ? [1e3, ' thousand'] : [1, ''];
  return { unit: `${currency}${word}`, say: (value) => grouped(value / per, per === 1e6 ? 2 : per === 1e3 ? 1 : 0) };
}

/** Length in km or miles. */
export const lengthScale = (units: Units): FigureScale => ({
  unit: units === 'si' ? 'km' : 'mi',
  say: (lengthM) => grouped(lengthM / (units === 'si' ? 1000 : M_PER_MILE), 1),
});

export const shareWords = (share: number): string => `${(100 * share).toFixed(1)} %`;

/** Ends of an interval, to stand beside its middle. */
export const ends = ({ lower, upper }: Interval, say: (value: number) => string): string =>
  `${say(lower)} – ${say(upper)}`;
