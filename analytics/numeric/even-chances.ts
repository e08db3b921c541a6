import type { SeededRandom } from './seeded-normals.ts';

/**
 * Chances spread evenly over 0 to 1, one from the middle of each of so many equal parts, in a random order: as good for means
 * and limits as many more that are drawn freely. Source: McKay, Beckman and Conover (Technometrics 21, 1979).
 */
export function evenChances(count: number, { uniform }: SeededRandom): Float64Array {
  const out = Float64Array.from({ length: count }, (_, d) => (d + 0.5) / count);
  for (let d = count - 1; d > 0; d--) {
    const other = Math.floor(uniform() * (d + 1));
    [out[d], out[other]] = [out[other], out[d]];
  }
  return out;
}
