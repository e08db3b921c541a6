import fc from 'fast-check';
import { expect, test } from 'vitest';
import { paretoK } from '../../../../analytics/numeric/pareto-k.ts';
import { seededRandom } from '../../../../analytics/numeric/seeded-normals.ts';
import { systematicResample } from '../../../../analytics/numeric/systematic-resample.ts';
import { mayStandUnweighted } from '../../../../analytics/numeric/trusted-weights.ts';

test('normals have the moments and tail of a normal, and the same seed gives the same ones', () => {
  const { normal, uniform } = seededRandom(11);
  const n = 200_000;
  const drawn = Float64Array.from({ length: n }, normal);
  const moment = (power: number): number => drawn.reduce((sum, z) => sum + z ** power, 0) / n;
  // Four standard errors of each: sqrt(1, 2, 15, 96 over n).
  expect(Math.abs(moment(1))).toBeLessThan(4 * Math.sqrt(1 / n));
  expect(Math.abs(moment(2) - 1)).toBeLessThan(4 * Math.sqrt(2 / n));
  expect(Math.abs(moment(3))).toBeLessThan(4 * Math.sqrt(15 / n));
  expect(Math.abs(moment(4) - 3)).toBeLessThan(4 * Math.sqrt(96 / n));
  expect(Math.abs(drawn.filter((z) => z > 1.959964).length / n - 0.025)).toBeLessThan(0.0014);
  const uniforms = Float64Array.from({ length: 1000 }, uniform);
  expect(uniforms.every((u) => u >= 0 && u < 1)).toBe(true);
  expect(Float64Array.from({ length: n }, seededRandom(11).normal)).toEqual(drawn);
});

test('the shape of a known Pareto tail is found', () => {
  // Weights at the quantiles of a generalised Pareto distribution with shape k: ((1 - u)^-k - 1) / k.
  const n = 20_000;
  for (const k of [0.2, 0.5, 1]) {
    const weights = Float64Array.from({ length: n }, (_, i) => ((1 - (i + 0.5) / n) ** -k - 1) / k);
    expect(Math.abs(paretoK(weights) - k)).toBeLessThan(0.06);
  }
});

test('even weights have no tail', () => {
  expect(paretoK(new Float64Array(1000).fill(1e-3))).toBe(0);
  expect(paretoK(Float64Array.of(1, 2))).toBe(0);
});

test('resampling picks each index within one of its expected number of times', () => {
  fc.assert(
    fc.property(
      fc.array(fc.integer({ min: 0, max: 9 }), { minLength: 1, maxLength: 30 }),
      fc.integer({ min: 1, max: 200 }),
      fc.double({ min: 0, max: 0.999, noNaN: true }),
      (raw, count, uniform) => {
        const total = raw.reduce((a, b) => a + b, 0);
        fc.pre(total > 0);
        const weights = Float64Array.from(raw, (w) => w / total);
        const picked = systematicResample(weights, count, uniform);
        weights.forEach((weight, index) => {
          const times = picked.filter((k) => k === index).length;
          expect(Math.abs(times - weight * count)).toBeLessThan(1 + 1e-9);
        });
      },
    ),
    { seed: 1 },
  );
});

test('draws stand without weights that are all but equal or light in the tail, and not otherwise', () => {
  // Effective share 1 / (1 + CV²): with 0.94 the weights vary by a quarter, whatever their largest twelve look like.
  expect(mayStandUnweighted(0.94, 0.75)).toBe(true);
  expect(mayStandUnweighted(0.6, 0.3)).toBe(true);
  expect(mayStandUnweighted(0.6, 0.75)).toBe(false);
  expect(mayStandUnweighted(0.3, 0.3)).toBe(false);
  expect(mayStandUnweighted(Number.NaN, 0.3)).toBe(false);
});
