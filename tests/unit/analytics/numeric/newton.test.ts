import { expect, test } from 'vitest';
import { maximise, type Objective } from '../../../../analytics/numeric/newton.ts';

test("finds the top of Rosenbrock's bent ridge from the usual start", () => {
  // Rosenbrock 1960: -(1 - x)^2 - 100 (y - x^2)^2 has its top at (1, 1); start (-1.2, 1).
  const ridge: Objective = ([x, y], gradient, hessian) => {
    gradient.set([2 * (1 - x) + 400 * x * (y - x * x), -200 * (y - x * x)]);
    hessian.set([-2 + 400 * (y - 3 * x * x), 400 * x, 400 * x, -200]);
    return -((1 - x) ** 2) - 100 * (y - x * x) ** 2;
  };
  const found = maximise(ridge, Float64Array.of(-1.2, 1), { maxIterations: 80 });
  expect(found.outcome).toBe('converged');
  expect(Math.abs(found.at[0] - 1) + Math.abs(found.at[1] - 1)).toBeLessThan(1e-9);
});

test('climbs from where the curve bends upwards', () => {
  // cos x: the Hessian is positive near the foot, where a plain Newton step would go down.
  const wave: Objective = ([x], gradient, hessian) => {
    gradient[0] = -Math.sin(x);
    hessian[0] = -Math.cos(x);
    return Math.cos(x);
  };
  const found = maximise(wave, Float64Array.of(3), { maxIterations: 80 });
  expect(found.outcome).toBe('converged');
  expect(found.value).toBeCloseTo(1, 12);
});

test('steps back from where the function is not defined', () => {
  const log: Objective = ([x], gradient, hessian) => {
    if (x <= 0) return Number.NaN;
    gradient[0] = 1 / x - 1;
    hessian[0] = -1 / (x * x);
    return Math.log(x) - x;
  };
  const found = maximise(log, Float64Array.of(5), { maxIterations: 80 });
  expect(found.outcome).toBe('converged');
  expect(found.at[0]).toBeCloseTo(1, 9);
});

test('arrives where slope and value agree to some digits only', () => {
  // As with adaptive quadrature: the slope ends 5e-5 from the top, and the step between would lose 1e-9 of 1000.
  const hill: Objective = ([x], gradient, hessian) => {
    gradient[0] = 5e-5 - x;
    hessian[0] = -1;
    return 1000 - (x * x) / 2;
  };
  const found = maximise(hill, Float64Array.of(0), { maxIterations: 80 });
  expect(found.outcome).toBe('converged');
  expect(found.iterations).toBeLessThan(3);
  expect(Math.abs(found.at[0])).toBeLessThan(5e-5);
});

test('the last step may be taken unseen once it is known to end near enough', () => {
  // log x - x: a Newton step to its top at 1, where the value is -1, squares the distance: 0.1, 0.01, 0.0001, 1e-8.
  let looks = 0;
  const log: Objective = ([x], gradient, hessian) => {
    looks++;
    gradient[0] = 1 / x - 1;
    hessian[0] = -1 / (x * x);
    return Math.log(x) - x;
  };
  const search = (closeDecrement: number) => {
    looks = 0;
    return maximise(log, Float64Array.of(0.9), { maxIterations: 80, closeDecrement });
  };
  // Decrements are the squares of the distances: seen at 0.9 and at 0.99, 1e-8 is foretold for 0.9999.
  const close = search(1.1e-8);
  expect(close).toMatchObject({ outcome: 'converged', lastStepUnseen: true });
  expect(looks).toBe(2);
  expect(close.at[0]).toBeCloseTo(0.9999, 12);
  expect(Math.abs(close.value + 1)).toBeLessThan(1e-6);
  expect(Math.abs(close.gradient[0])).toBeLessThan(1e-12);
  // Half of that is too much, and one look more is taken.
  expect(search(0.5e-8).at[0]).toBeCloseTo(1 - 1e-8, 12);
  expect(looks).toBe(3);
});

test('says so when it did not arrive', () => {
  const slope: Objective = ([x], gradient, hessian) => {
    gradient[0] = 1;
    hessian[0] = 0;
    return x;
  };
  expect(maximise(slope, Float64Array.of(0), { maxIterations: 5 }).outcome).toBe('max-iter');
  const broken: Objective = () => Number.NaN;
  expect(maximise(broken, Float64Array.of(0), { maxIterations: 5 }).outcome).toBe('nonfinite');
});
