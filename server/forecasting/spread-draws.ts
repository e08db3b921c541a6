import type { GrowthDraws } from '../../analytics/condition/condition.ts';
import { pick, pickRows } from '../../analytics/numeric/pick-rows.ts';
import type { GroupingDraws } from '../../analytics/pooling/level-draws.ts';
import type { PosteriorDraws } from '../../analytics/survival/aft.ts';
import { standardQuantile } from '../../analytics/survival/families.ts';
import type { StoredModel } from './stored-model.ts';

/**
 * Draws that stand for all, the same ones for every segment, so that totals of any part of the network keep what segments
 * share: ordered by the median life of a seal with all columns at their average over the classes, one from the middle of each
 * of so many equal parts. Of what makes lives long or short in general they tell as much as many more.
 */
export function spreadDraws(
  { draws, design, family }: Pick<StoredModel, 'draws' | 'design' | 'family'>,
  count: number,
): Int32Array {
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
  return Int32Array.from({ length: count }, (_, k) => order[Math.floor(((k + 0.5) * order.length) / count)]);
}

/** Some draws of a model, in their order. */
export function pickDraws<Draws extends PosteriorDraws>(draws: Draws, picked: Int32Array): Draws {
  return {
    ...draws,
    draws: picked.length,
    coefficients: pickRows(draws.coefficients, picked, draws.coefficients.length / draws.draws),
    scale: pick(draws.scale, picked),
    effectiveSampleSize: (draws.effectiveSampleSize * picked.length) / draws.draws,
  };
}

/** The same of how damage grows. */
export const pickGrowth = ({ exponent, readingSd, inspectors, inspectorShift }: GrowthDraws, picked: Int32Array) => ({
  exponent: pick(exponent, picked),
  readingSd: pick(readingSd, picked),
  inspectors,
  inspectorShift: pickRows(inspectorShift, picked, inspectors),
});

/** The same of the effects of levels. */
export function pickEffects(grouping: GroupingDraws, picked: Int32Array): GroupingDraws {
  const { sd, effects } = grouping;
  const kept = new Float32Array((effects.length / sd.length) * picked.length);
  for (let at = 0; at < kept.length; at++)
    kept[at] = effects[Math.floor(at / picked.length) * sd.length + picked[at % picked.length]];
  return { ...grouping, sd: pick(sd, picked), effects: kept };
}
