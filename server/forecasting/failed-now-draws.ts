import type { GroupingDraws } from '../../analytics/pooling/level-draws.ts';
import { standardQuantile } from '../../analytics/survival/families.ts';
import type { PlannedInputs } from './budget.ts';
import { inYears } from './in-years.ts';
import { modelForecasts } from './model-forecasts.ts';
import type { StoredModel } from './stored-model.ts';

/** Draws that network totals keep of each segment: 20 bytes a segment. */
export const KEPT_DRAWS = 20;

/**
 * Chance of having failed by the planning date of each segment under a few draws, the same ones for all segments, so that
 * totals of any part of the network keep what segments share. Bytes, row-major, segments x `KEPT_DRAWS`; see `byteOfChance`.
 */
export function failedNowDraws(inputs: PlannedInputs, progress: (share: number) => void): Uint8Array {
  const { segments, model, options } = inputs;
  const few = modelOfDraws(model, spreadDraws(model));
  const first = inYears(modelForecasts(segments, few, options).firstFailures, segments, few, options);
  const out = new Uint8Array(segments.length * KEPT_DRAWS);
  for (const [i, { inPlace }] of segments.entries()) {
    if (inPlace.observation.knownFailed) out.fill(byteOfChance(1), i * KEPT_DRAWS, (i + 1) * KEPT_DRAWS);
    else out.set(first.failedNowOf(i).map(byteOfChance), i * KEPT_DRAWS);
    if (i % 1000 === 999) progress((i + 1) / segments.length);
  }
  return out;
}

/** A chance as a byte, on the arc-sine scale: finest near 0 and 1, never off by more than 0.004. */
export const byteOfChance = (chance: number): number => Math.round((510 / Math.PI) * Math.asin(Math.sqrt(chance)));

/**
 * Draws that stand for all: ordered by the median life of a seal with all columns at their average over the classes, one from
 * the middle of each of `KEPT_DRAWS` equal parts.
 */
function spreadDraws({ draws, design, family }: StoredModel): number[] {
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
  return Array.from({ length: KEPT_DRAWS }, (_, k) => order[Math.floor(((k + 0.5) * order.length) / KEPT_DRAWS)]);
}

/** The model with some of its draws. */
function modelOfDraws(model: StoredModel, picked: readonly number[]): StoredModel {
  const rows = (from: Float64Array, width: number) => {
    const out = new Float64Array(picked.length * width);
    for (const [to, d] of picked.entries()) out.set(from.subarray(d * width, (d + 1) * width), to * width);
    return out;
  };
  const { draws, condition, levels, yearSd } = model;
  return {
    ...model,
    yearSd: yearSd && rows(yearSd, 1),
    draws: {
      ...draws,
      draws: picked.length,
      coefficients: rows(draws.coefficients, draws.coefficients.length / draws.draws),
      scale: rows(draws.scale, 1),
    },
    ...(levels ? { levels: levels.map((grouping) => ofSomeDraws(grouping, picked)) } : {}),
    condition: condition && {
      ...condition,
      growth: {
        exponent: rows(condition.growth.exponent, 1),
        readingSd: rows(condition.growth.readingSd, 1),
        inspectors: condition.growth.inspectors,
        inspectorShift: rows(condition.growth.inspectorShift, condition.growth.inspectors),
      },
    },
  };
}

function ofSomeDraws(grouping: GroupingDraws, picked: readonly number[]): GroupingDraws {
  const draws = grouping.sd.length;
  const levels = grouping.effects.length / draws;
  const effects = new Float32Array(levels * picked.length);
  for (let l = 0; l < levels; l++)
    for (const [to, d] of picked.entries()) effects[l * picked.length + to] = grouping.effects[l * draws + d];
  return { ...grouping, effects, sd: Float64Array.from(picked, (d) => grouping.sd[d]) };
}
