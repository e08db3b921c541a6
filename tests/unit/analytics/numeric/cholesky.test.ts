import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  choleskyInPlace,
  choleskySolveInPlace,
  independentColumns,
  inverseOfFactor,
  invertPositiveDefinite,
} from '../../../../analytics/numeric/cholesky.ts';

const element = fc.double({ min: -3, max: 3, noNaN: true });
/** B B' plus a little of the identity: always positive definite. */
const positiveDefinite = fc.integer({ min: 1, max: 6 }).chain((n) =>
  fc.array(element, { minLength: n * n, maxLength: n * n }).map((b) => {
    const matrix = new Float64Array(n * n);
    for (let i = 0; i < n; i++)
      for (let j = 0; j < n; j++) {
        for (let k = 0; k < n; k++) matrix[i * n + j] += b[i * n + k] * b[j * n + k];
        if (i === j) matrix[i * n + j] += 0.1;
      }
    return { matrix, n };
  }),
);

test('a matrix times its inverse, and times a solution, gives back what went in', () => {
  fc.assert(
    fc.property(positiveDefinite, ({ matrix, n }) => {
      const inverse = invertPositiveDefinite(matrix, n) ?? new Float64Array(n * n);
      const factor = Float64Array.from(matrix);
      expect(choleskyInPlace(factor, n)).toBe(true);
      const ofFactor = inverseOfFactor(factor, n);
      const solution = Float64Array.from({ length: n }, (_, i) => i + 1);
      choleskySolveInPlace(factor, n, solution);
      for (let i = 0; i < n; i++) {
        let right = 0;
        for (let k = 0; k < n; k++) right += matrix[i * n + k] * solution[k];
        expect(Math.abs(right - (i + 1))).toBeLessThan(1e-8);
        for (let j = 0; j < n; j++) {
          let product = 0;
          for (let k = 0; k < n; k++) product += matrix[i * n + k] * inverse[k * n + j];
          expect(Math.abs(product - (i === j ? 1 : 0))).toBeLessThan(1e-8);
          if (j <= i) expect(Math.abs(ofFactor[i * n + j] - inverse[i * n + j])).toBeLessThan(1e-8);
        }
      }
    }),
    { seed: 1 },
  );
});

test('a matrix that is not positive definite has no factor and no inverse', () => {
  expect(choleskyInPlace(Float64Array.of(1, 2, 2, 1), 2)).toBe(false);
  expect(invertPositiveDefinite(Float64Array.of(1, 1, 1, 1), 2)).toBeNull();
  expect(invertPositiveDefinite(Float64Array.of(1, 0, 0, -1), 2)).toBeNull();
  expect(invertPositiveDefinite(Float64Array.of(1, 0, 0, Number.NaN), 2)).toBeNull();
});

test('of columns that say the same the later one is left out', () => {
  // Columns 1, x, 2x + 1, y, 0 of four rows.
  const columns = [
    [1, 1, 1, 1],
    [1, 2, 4, 7],
    [3, 5, 9, 15],
    [0, 1, 0, 1],
    [0, 0, 0, 0],
  ];
  const gram = Float64Array.from(
    columns.flatMap((a) => columns.map((b) => a.reduce((sum, value, i) => sum + value * b[i], 0))),
  );
  expect([...independentColumns(gram, 5)]).toEqual([1, 1, 0, 1, 0]);
});
