import { standardQuantile } from '../../analytics/survival/families.ts';
import type { StoredModel } from './stored-model.ts';

/** Draws that network totals keep of each segment: 20 bytes a segment. */
export const KEPT_DRAWS = 20;

/** A chance as a byte, on the arc-sine scale: finest near 0 and 1, never off by more than 0.004. */
export const byteOfChance = (chance: number): number => Math.round((510 / Math.PI) * Math.asin(Math.sqrt(chance)));

/**
 * Draws that stand for all in network totals of what has failed by now, the same ones for all segments, so that totals of any
 * part of the network keep what segments share: ordered by the median life of a seal with all columns at their average over
 * the classes, one from the middle of each of `KEPT_DRAWS` equal parts.
 */
export function spreadDraws({ draws, design, family }: Pick<StoredModel, 'draws' | 'design' | 'family'>): Int32Array {
  const width = design.names.length;
  const classes = design.classes.length;
  const half = standardQuantile(family, 0.5);
  const life = Float64Array.from({ length: draws.draws }, (_, d) => {
    let eta = 0;
    for (let k = 0; k < classes; k++) eta += draws.coefficients[d * width + k] / classes;
    for (const [k, { fill, mean, sd }] of design.columns.entries())
      eta += (draws.coefficients[d * width + classes + k] * (fill - mean)) / sd;
    return eta + draws.scale[d] * half;
  });
  const order = [...life.keys()].sort((a, b) => life[a] - life[b] || a - b);
  return Int32Array.from({ length: KEPT_DRAWS }, (_, k) => order[Math.floor(((k + 0.5) * order.length) / KEPT_DRAWS)]);
}
