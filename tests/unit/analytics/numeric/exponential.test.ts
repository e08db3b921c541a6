import fc from 'fast-check';
import { expect, test } from 'vitest';
import { exponential, exponentialLessOne } from '../../../../analytics/numeric/exponential.ts';

// The mathematical library of the engine is the form to read: it is right to within one unit in the last place.
const anywhere = fc.oneof(
  fc.double({ min: -750, max: 750, noNaN: true }),
  fc.double({ min: -1, max: 1, noNaN: true }),
  fc.double({ min: -1e-6, max: 1e-6, noNaN: true }),
);

test('exponentials agree with those of the engine', () => {
  fc.assert(
    fc.property(anywhere, (x) => {
      const expected = Math.exp(x);
      if (Math.abs(x) < 700) expect(Math.abs(exponential(x) / expected - 1)).toBeLessThan(5e-16);
      else expect(exponential(x)).toBe(expected);
    }),
    { seed: 1, numRuns: 5000 },
  );
});

test('less one they keep their digits near 0', () => {
  fc.assert(
    fc.property(anywhere, (x) => {
      const expected = Math.expm1(x);
      if (expected === 0 || expected === Infinity) expect(exponentialLessOne(x) === expected).toBe(true);
      else expect(Math.abs(exponentialLessOne(x) / expected - 1)).toBeLessThan(1e-14);
    }),
    { seed: 2, numRuns: 5000 },
  );
});

test('ends and what is no number', () => {
  expect([exponential(-Infinity), exponential(Infinity), exponential(0)]).toEqual([0, Infinity, 1]);
  expect([exponentialLessOne(-Infinity), exponentialLessOne(Infinity), exponentialLessOne(0)]).toEqual([
    -1,
    Infinity,
    0,
  ]);
  expect([exponential(NaN), exponentialLessOne(NaN)]).toEqual([NaN, NaN]);
});
