import { type SeededRandom, seededRandom } from '../../../../analytics/numeric/seeded-normals.ts';
import type { Grouping } from '../../../../analytics/pooling/fit-pooled.ts';
import type { AftData } from '../../../../analytics/survival/aft.ts';

export interface SimulatedLots {
  readonly data: AftData;
  readonly lots: Grouping;
  readonly effects: Float64Array;
}

/** Weibull lives of about twelve years, looked at every second year until an age between 4 and 20, in random lots. */
export function simulateLots(options: {
  readonly seals: number;
  readonly lots: number;
  readonly seed: number;
  readonly effectOf: (lot: number, random: SeededRandom) => number;
}): SimulatedLots {
  const { seals, lots, seed, effectOf } = options;
  const random = seededRandom(seed);
  const effects = Float64Array.from({ length: lots }, (_, l) => effectOf(l, random));
  const index = Int32Array.from({ length: seals }, () => Math.floor(random.uniform() * lots));
  const lower = new Float64Array(seals);
  const upper = new Float64Array(seals);
  for (let i = 0; i < seals; i++) {
    const life = Math.exp(2.5 + effects[index[i]] + 0.35 * Math.log(-Math.log(1 - random.uniform())));
    const followed = 4 + Math.floor(random.uniform() * 16);
    lower[i] = life > followed ? followed : 2 * Math.floor(life / 2);
    upper[i] = life > followed ? Infinity : lower[i] + 2;
  }
  return {
    data: {
      entry: new Float64Array(seals),
      lower,
      upper,
      weight: new Float64Array(seals).fill(1),
      covariates: new Float64Array(0),
      names: [],
      intercept: true,
    },
    lots: { name: 'lot', index, levels: Array.from({ length: lots }, (_, l) => `A${l + 1}`) },
    effects,
  };
}
