import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';

export interface SeededRandom {
  /** In [0, 1). */ readonly uniform: () => number;
  /** Mean 0, variance 1. */ readonly normal: () => number;
}

/** The same stream of numbers for the same whole-number seed. Normals by the polar method of Marsaglia and Bray (1964). */
export function seededRandom(seed: number): SeededRandom {
  const generator = xoroshiro128plus(seed | 0);
  const uniform = (): number => uniformFloat64(generator);
  let spare: number | null = null;
  const normal = (): number => {
    if (spare !== null) {
      const value = spare;
      spare = null;
      return value;
    }
    for (;;) {
      const u = 2 * uniform() - 1;
      const v = 2 * uniform() - 1;
      const square = u * u + v * v;
      if (square === 0 || square >= 1) continue;
      const scale = Math.sqrt((-2 * Math.log(square)) / square);
      spare = v * scale;
      return u * scale;
    }
  };
  return { uniform, normal };
}
