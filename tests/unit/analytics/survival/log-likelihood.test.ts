import erfc from '@stdlib/math-base-special-erfc';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { AftData, Family } from '../../../../analytics/survival/aft.ts';
import { compress } from '../../../../analytics/survival/compress.ts';
import { logLikelihood } from '../../../../analytics/survival/log-likelihood.ts';
import { posteriorDensity } from '../../../../analytics/survival/posterior-density.ts';
import { standardise } from '../../../../analytics/survival/standardise.ts';

/** The form to read: survival and density of log T, one row at a time, as a textbook writes it. */
const survival: Record<Family, (z: number) => number> = {
  weibull: (z) => Math.exp(-Math.exp(z)),
  exponential: (z) => Math.exp(-Math.exp(z)),
  loglogistic: (z) => 1 / (1 + Math.exp(z)),
  lognormal: (z) => 0.5 * erfc(z / Math.SQRT2),
};
const density: Record<Family, (z: number) => number> = {
  weibull: (z) => Math.exp(z - Math.exp(z)),
  exponential: (z) => Math.exp(z - Math.exp(z)),
  loglogistic: (z) => Math.exp(z) / (1 + Math.exp(z)) ** 2,
  lognormal: (z) => Math.exp(-z * z * 0.5) / Math.sqrt(2 * Math.PI),
};

interface Row {
  readonly entry: number;
  readonly lower: number;
  readonly upper: number;
  readonly weight: number;
  readonly x: readonly [number, number];
}

function rowLogLikelihood(family: Family, { entry, lower, upper, weight, x }: Row, beta: number[], sigma: number) {
  const mu = beta[0] + beta[1] * x[0] + beta[2] * x[1];
  const soundAt = (age: number): number => (age === 0 ? 1 : survival[family]((Math.log(age) - mu) / sigma));
  const chance =
    lower === upper
      ? density[family]((Math.log(upper) - mu) / sigma) / (sigma * upper)
      : soundAt(lower) - (upper === Infinity ? 0 : soundAt(upper));
  return weight * Math.log(chance / soundAt(entry));
}

const toData = (rows: readonly Row[]): AftData => ({
  entry: Float64Array.from(rows, (r) => r.entry),
  lower: Float64Array.from(rows, (r) => r.lower),
  upper: Float64Array.from(rows, (r) => r.upper),
  weight: Float64Array.from(rows, (r) => r.weight),
  covariates: Float64Array.from(rows.flatMap((r) => r.x)),
  names: ['switch', 'width'],
  intercept: true,
});

const age = fc.integer({ min: 1, max: 40 }).map((n) => n / 2);
const kinds = ['interval', 'right', 'left', 'left in its window', 'exact'] as const;
const row = fc
  .record({
    kind: fc.constantFrom(...kinds),
    late: fc.boolean(),
    ages: fc.tuple(age, age, age),
    weight: fc.integer({ min: 1, max: 4 }),
    x: fc.tuple(fc.constantFrom(0, 1), fc.integer({ min: -3, max: 3 })),
  })
  .map(({ kind, late, ages, weight, x }): Row => {
    const [a, b, c] = [...ages].sort((p, q) => p - q);
    const entry = late && kind !== 'left' ? a / 2 : 0;
    const lower = { interval: b, right: b, left: 0, 'left in its window': entry, exact: b }[kind];
    const upper = { interval: b + c / 2, right: Infinity, left: c, 'left in its window': c, exact: b }[kind];
    return { entry, lower, upper, weight, x: [x[0], x[1]] };
  });
// Both columns must vary so that neither is dropped.
const rows = fc
  .array(row, { minLength: 1, maxLength: 8 })
  .map((some) => [
    ...some,
    { entry: 0, lower: 3, upper: 5, weight: 1, x: [0, 1] as const },
    { entry: 0, lower: 6, upper: Infinity, weight: 2, x: [1, -2] as const },
    { entry: 0, lower: 4, upper: 4, weight: 1, x: [1, 2] as const },
  ]);
const delta = fc.tuple(...Array.from({ length: 3 }, () => fc.double({ min: -1, max: 1, noNaN: true })));
const tau = fc.double({ min: 0.5, max: 4, noNaN: true });
const FAMILIES: readonly Family[] = ['weibull', 'lognormal', 'loglogistic'];

describe.each(FAMILIES)('%s', (family) => {
  test('the kernel agrees with the form to read', () => {
    fc.assert(
      fc.property(rows, delta, tau, (some, d, t) => {
        const design = standardise(compress(toData(some)), null);
        const likelihood = logLikelihood(design, family);
        const found = likelihood.value(Float64Array.from(d), t);
        const standardised = d.map((value) => value / t);
        const beta = [...design.shift].map(
          (shift, j) => shift + standardised.reduce((sum, b, k) => sum + design.back[j * 3 + k] * b, 0),
        );
        const expected = some.reduce((sum, one) => sum + rowLogLikelihood(family, one, beta, 1 / t), 0);
        // Where survival itself rounds to 0 or 1 the textbook form has no digits left to compare with.
        fc.pre(Number.isFinite(expected) && expected > -150);
        expect(Math.abs(found - expected)).toBeLessThan(1e-6 * Math.abs(expected));
      }),
      { seed: 1, numRuns: 200 },
    );
  });

  test('gradient and Hessian agree with central differences', () => {
    fc.assert(
      fc.property(rows, delta, tau, (some, d, t) => {
        const likelihood = logLikelihood(standardise(compress(toData(some)), null), family);
        const at = Float64Array.of(...d, t);
        const evaluate = (theta: Float64Array) => {
          const gradient = new Float64Array(4);
          const hessian = new Float64Array(16);
          const value = likelihood.derivatives(theta.subarray(0, 3), theta[3], gradient, hessian);
          expect(Math.abs(likelihood.value(theta.subarray(0, 3), theta[3]) - value)).toBeLessThan(
            1e-12 * (1 + Math.abs(value)),
          );
          return { value, gradient, hessian };
        };
        expectDerivatives(evaluate, at);
      }),
      { seed: 2, numRuns: 100 },
    );
  });

  test('so do those in coefficients and log scale with a prior', () => {
    fc.assert(
      fc.property(rows, delta, tau, (some, d, t) => {
        const prior = { means: [2, 0.1, 0], sds: [0.5, 0.4, Infinity], logScaleMean: -0.9, logScaleSd: 0.4 };
        const design = standardise(compress(toData(some)), prior);
        const target = posteriorDensity({
          design,
          likelihood: logLikelihood(design, family),
          prior,
          fixedScale: false,
        });
        const evaluate = (theta: Float64Array) => {
          const gradient = new Float64Array(4);
          const hessian = new Float64Array(16);
          const value = target.derivatives(theta, gradient, hessian);
          expect(Math.abs(target.value(theta) - value)).toBeLessThan(1e-12 * (1 + Math.abs(value)));
          return { value, gradient, hessian };
        };
        expectDerivatives(evaluate, Float64Array.of(...d, -Math.log(t)));
      }),
      { seed: 3, numRuns: 100 },
    );
  });
});

type Evaluate = (theta: Float64Array) => { value: number; gradient: Float64Array; hessian: Float64Array };

/** Differences of the value check the gradient, differences of the gradient the Hessian. */
function expectDerivatives(evaluate: Evaluate, at: Float64Array): void {
  const n = at.length;
  const { gradient, hessian, value } = evaluate(at);
  const gradientScale = 1 + Math.abs(value) + Math.max(...gradient.map(Math.abs));
  const hessianScale = gradientScale + Math.max(...hessian.map(Math.abs));
  for (let j = 0; j < n; j++) {
    const step = 1e-5;
    const up = evaluate(at.map((v, k) => (k === j ? v + step : v)));
    const down = evaluate(at.map((v, k) => (k === j ? v - step : v)));
    expect(Math.abs((up.value - down.value) / (2 * step) - gradient[j])).toBeLessThan(1e-6 * gradientScale);
    for (let k = 0; k < n; k++) {
      const slope = (up.gradient[k] - down.gradient[k]) / (2 * step);
      expect(Math.abs(slope - hessian[j * n + k])).toBeLessThan(1e-6 * hessianScale);
    }
  }
}

test('merging identical rows changes nothing but their number', () => {
  const some: Row[] = [
    { entry: 0, lower: 3, upper: 5, weight: 1, x: [0, 1] },
    { entry: 0, lower: 3, upper: 5, weight: 2.5, x: [0, 1] },
    { entry: 0, lower: 3, upper: 5, weight: 1, x: [1, 1] },
    { entry: 1, lower: 3, upper: 5, weight: 1, x: [0, 1] },
    { entry: 0, lower: 3, upper: Infinity, weight: 1, x: [0, 1] },
  ];
  const merged = compress(toData(some));
  expect([...merged.weight].sort()).toEqual([1, 1, 1, 3.5]);
  expect([...merged.patternStart]).toEqual([0, 3, 4]);
  expect([...merged.covariates]).toEqual([0, 1, 1, 1]);
});
