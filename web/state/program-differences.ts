import type { Interval } from '../../server/schemas/common.ts';
import { formatLength } from './format.ts';
import { formatLengthYears } from './program-words.ts';
import type { Units } from './units.ts';

/** A difference with its interval, each with its sign in words that cannot be overlooked. */
export interface DifferenceWords {
  readonly value: string;
  readonly range: string;
}

const signed = (value: number, words: (size: number) => string): string => {
  const size = words(Math.abs(value));
  return value > 0 ? `+${size}` : value < 0 ? `−${size}` : size;
};

const differenceOf = ({ median, lower, upper }: Interval, words: (size: number) => string): DifferenceWords => ({
  value: signed(median, words),
  range: `${signed(lower, words)} to ${signed(upper, words)}`,
});

export const differenceMoney = (interval: Interval, words: (amount: number) => string): DifferenceWords =>
  differenceOf(interval, words);

export const differenceLength = (interval: Interval, units: Units): DifferenceWords =>
  differenceOf(interval, (lengthM) => formatLength(lengthM, units));

export const differenceLengthYears = (interval: Interval, units: Units): DifferenceWords =>
  differenceOf(interval, (size) => formatLengthYears({ median: size, lower: size, upper: size }, units).value);
