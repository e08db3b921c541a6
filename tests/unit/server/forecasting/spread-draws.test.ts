import { expect, test } from 'vitest';
import type { PosteriorDraws } from '../../../../analytics/survival/aft.ts';
import type { Design } from '../../../../analytics/survival/covariate-rows.ts';
import { pickDraws, pickEffects, pickGrowth, spreadDraws } from '../../../../server/forecasting/spread-draws.ts';

const DRAWS = 200;
/** Draw d has the mean log life 2 + z(d) in class A and 3 in class B, where z goes up and down over -1 to 1. */
const z = Float64Array.from({ length: DRAWS }, (_, d) => ((d * 77) % DRAWS) / 100 - 1);
const draws: PosteriorDraws = {
  draws: DRAWS,
  coefficients: Float64Array.from({ length: 2 * DRAWS }, (_, at) => (at % 2 === 0 ? 2 + z[at >> 1] : 3)),
  scale: new Float64Array(DRAWS).fill(0.5),
  effectiveSampleSize: 180,
  paretoK: 0,
};
const design: Design = { classes: ['A', 'B'], columns: [], dropped: [], names: ['A', 'B'] };
const picked = spreadDraws({ draws, design, family: 'weibull' }, 40);

test('draws that stand for all are spread evenly over typical lives', () => {
  const lives = Array.from(picked, (d) => z[d]).sort((a, b) => a - b);
  // 200 lives in steps of 0.01: the middle of each fifth one.
  expect(lives).toEqual(Array.from({ length: 40 }, (_, k) => z.toSorted()[5 * k + 2]));
});

test('every part of a model keeps the same draws', () => {
  const kept = pickDraws(draws, picked);
  expect(kept.draws).toBe(40);
  expect(kept.effectiveSampleSize).toBe(36);
  const growth = pickGrowth(
    { exponent: z, readingSd: z, inspectors: 2, inspectorShift: Float64Array.from({ length: 400 }, (_, at) => at) },
    picked,
  );
  // Effects are level by level.
  const effects = Float32Array.from({ length: 3 * DRAWS }, (_, at) => at);
  const levels = pickEffects(
    { name: 'lot', levels: ['1', '2'], unknownLevels: 1, ofSeal: true, sd: z, effects },
    picked,
  );
  for (const [k, d] of picked.entries()) {
    expect([...kept.coefficients.subarray(2 * k, 2 * k + 2)]).toEqual([2 + z[d], 3]);
    expect([growth.exponent[k], growth.readingSd[k], levels.sd[k]]).toEqual([z[d], z[d], z[d]]);
    expect([...growth.inspectorShift.subarray(2 * k, 2 * k + 2)]).toEqual([2 * d, 2 * d + 1]);
    expect([0, 1, 2].map((level) => levels.effects[level * 40 + k])).toEqual(
      [0, 1, 2].map((level) => level * DRAWS + d),
    );
  }
});
