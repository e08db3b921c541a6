/**
 * A segment's probabilities by year as one short string, so that a map tile can be painted for any year without
 * being made again. Character i is the level of year end i: level / 61 is the probability. A string slice and an
 * index look-up read it inside a map style. Shares of length worked on in each year of a program are written alike.
 */
export const PROBABILITY_ALPHABET = '0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz';
const TOP_LEVEL = PROBABILITY_ALPHABET.length - 1;

/** `shares`: 0-1, one per year end. */
export function probabilityText(shares: ArrayLike<number>): string {
  let text = '';
  for (let i = 0; i < shares.length; i++) {
    const level = Math.round(Math.min(1, Math.max(0, shares[i])) * TOP_LEVEL);
    text += PROBABILITY_ALPHABET[level];
  }
  return text;
}

/** The probability that character `i` of `text` stands for. */
export const probabilityAt = (text: string, i: number): number => PROBABILITY_ALPHABET.indexOf(text[i]) / TOP_LEVEL;
