import { xoroshiro128plusFromState } from 'pure-rand/generator/xoroshiro128plus';

/** Draws of one stream. The stream belongs to its key, so the order in which streams are opened does not matter. */
export interface Draws {
  /** At least 0, below 1. */ uniform(): number;
  between(low: number, high: number): number;
  /** Whole number, both ends included. */ integer(low: number, high: number): number;
  chance(probability: number): boolean;
  normal(): number;
  /** Exponential with mean 1. */ exponential(): number;
  pick<T>(choices: readonly T[]): T;
  /** Weights need not add up to 1. */ weighted<T>(choices: readonly (readonly [T, number])[]): T;
}

/** Four 32-bit words from a text; FNV-1a with different offsets, then a finaliser so that near keys part company. */
function wordsOf(text: string): [number, number, number, number] {
  const words: [number, number, number, number] = [0x811c9dc5, 0x01000193, 0x9e3779b9, 0x7f4a7c15];
  for (let i = 0; i < text.length; i++) {
    const code = text.charCodeAt(i);
    for (let k = 0; k < 4; k++) words[k] = Math.imul(words[k] ^ (code + k * 257), 0x01000193);
  }
  for (let k = 0; k < 4; k++) {
    let word = words[k];
    word = Math.imul(word ^ (word >>> 16), 0x85ebca6b);
    word = Math.imul(word ^ (word >>> 13), 0xc2b2ae35);
    words[k] = word ^ (word >>> 16);
  }
  return words;
}

/** The stream of draws of one seed and one key, e.g. `openDraws(1, 'life', 'H12-0345-T')`. */
export function openDraws(seed: number, ...key: readonly string[]): Draws {
  const generator = xoroshiro128plusFromState(wordsOf(`${seed}/${key.join('/')}`));
  for (let i = 0; i < 4; i++) generator.next();
  // 53 random bits: 27 of one word and 26 of the next.
  const uniform = () => ((generator.next() >>> 5) * 67108864 + (generator.next() >>> 6)) / 9007199254740992;
  return {
    uniform,
    between: (low, high) => low + (high - low) * uniform(),
    integer: (low, high) => low + Math.floor(uniform() * (high - low + 1)),
    chance: (probability) => uniform() < probability,
    normal: () => Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform()),
    exponential: () => -Math.log(1 - uniform()),
    pick: (choices) => choices[Math.floor(uniform() * choices.length)],
    weighted: (choices) => {
      let left = uniform() * choices.reduce((sum, [, weight]) => sum + weight, 0);
      for (const [choice, weight] of choices) {
        left -= weight;
        if (left < 0) return choice;
      }
      return choices[choices.length - 1][0];
    },
  };
}
