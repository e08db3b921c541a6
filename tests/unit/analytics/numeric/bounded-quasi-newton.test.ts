import { expect, test } from 'vitest';
import { maximiseInBox, type SmoothFunction } from '../../../../analytics/numeric/bounded-quasi-newton.ts';

const box = (n: number, lower: number, upper: number) => ({
  lower: new Float64Array(n).fill(lower),
  upper: new Float64Array(n).fill(upper),
  longestStep: 1,
  maxIterations: 200,
  leastGain: 1e-14,
  rounding: 1e-16,
});

// Rosenbrock (Computer J. 3, 1960), upside down: the top is 0 at (1, 1).
const valley: SmoothFunction = {
  value: ([x, y]) => -((1 - x) ** 2) - 100 * (y - x * x) ** 2,
  slope: ([x, y], out) => {
    out[0] = 2 * (1 - x) + 400 * x * (y - x * x);
    out[1] = -200 * (y - x * x);
  },
};

test('climbs out of Rosenbrock’s valley', () => {
  const found = maximiseInBox(valley, Float64Array.of(-1.2, 1), box(2, -5, 5));
  expect(found.converged).toBe(true);
  expect(Math.abs(found.at[0] - 1)).toBeLessThan(1e-5);
  expect(Math.abs(found.at[1] - 1)).toBeLessThan(1e-5);
});

test('stops at the wall where the top lies behind it', () => {
  // With x at most 0.5 the best y is x² and the value -(1 - x)².
  const found = maximiseInBox(valley, Float64Array.of(-1.2, 1), {
    ...box(2, -5, 5),
    upper: Float64Array.of(0.5, 5),
  });
  expect(found.converged).toBe(true);
  expect(found.at[0]).toBe(0.5);
  expect(Math.abs(found.at[1] - 0.25)).toBeLessThan(1e-6);
  expect(Math.abs(found.value + 0.25)).toBeLessThan(1e-9);
});

test('a start without a value is said to be none', () => {
  const nowhere: SmoothFunction = { value: () => Number.NaN, slope: (_, out) => out.fill(0) };
  expect(maximiseInBox(nowhere, Float64Array.of(0), box(1, -1, 1)).converged).toBe(false);
});
