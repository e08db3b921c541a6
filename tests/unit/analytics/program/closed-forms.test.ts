import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { solveProgram } from '../../../../analytics/program/solve-program.ts';
import { Decomposition } from '../../../../analytics/program/solver/decomposition.ts';
import { rowSet } from '../../../../analytics/program/solver/row-set.ts';
import { ceiling, type Items, itemProgram, savedBy } from './one-year-items.ts';

const OPTIONS = { gapShare: 0, rounds: 100 };
const RUNS = { seed: 4, numRuns: 12 };

/** What the program saves, exactly and by decomposition alone, and what the bound says can be saved. */
async function savings(items: Items): Promise<{ exact: number; near: number; bound: number }> {
  const problem = itemProgram(items);
  const { objective } = await solveProgram(problem, OPTIONS);
  const found = new Decomposition(problem, rowSet(problem), OPTIONS).run();
  return {
    exact: savedBy(items, objective),
    near: savedBy(items, found.objective),
    bound: savedBy(items, found.bound),
  };
}

const sum = (values: readonly number[]) => values.reduce((all, x) => all + x, 0);
const falling = (values: readonly number[]) => [...values].sort((a, b) => b - a);
const worths = fc.array(fc.integer({ min: 1, max: 1000 }), { minLength: 2, maxLength: 12 });

describe('problems with a closed form', () => {
  test('equal prices: the dearest to leave are taken', async () => {
    await fc.assert(
      fc.asyncProperty(worths, fc.integer({ min: 0, max: 12 }), async (saving, k) => {
        const items = { price: saving.map(() => 100), saving, years: 1, limits: [ceiling(0, 100 * k)] };
        const best = sum(falling(saving).slice(0, k));
        const { exact, near, bound } = await savings(items);
        expect(exact).toBeCloseTo(best, 6);
        expect(near).toBeCloseTo(best, 6);
        expect(bound).toBeGreaterThanOrEqual(best - 1e-6);
      }),
      RUNS,
    );
  });

  test('a budget for all: each does what is best for itself', async () => {
    await fc.assert(
      fc.asyncProperty(worths, async (worth) => {
        const saving = worth.map((w) => w - 300);
        const items = { price: worth.map(() => 500), saving, years: 1, limits: [ceiling(0, 500 * worth.length)] };
        const best = sum(saving.filter((s) => s > 0));
        const { exact, near, bound } = await savings(items);
        for (const value of [exact, near, bound]) expect(value).toBeCloseTo(best, 4);
      }),
      RUNS,
    );
  });

  test('savings equal to prices: the budget is filled to the last unit where it can be', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.integer({ min: 4, max: 10 }),
        fc.double({ min: 0.1, max: 0.9, noNaN: true }),
        async (n, share) => {
          const price = Array.from({ length: n }, (_, i) => i + 1); // every whole sum up to n(n+1)/2 can be made
          const budget = Math.round(share * sum(price));
          const items = { price, saving: price, years: 1, limits: [ceiling(0, budget)] };
          const { exact, near } = await savings(items);
          expect(exact).toBeCloseTo(budget, 6);
          expect(near).toBeCloseTo(budget, 6);
        },
      ),
      RUNS,
    );
  });

  test('two years, equal prices: sorted by what a year of waiting loses', async () => {
    await fc.assert(
      fc.asyncProperty(worths, fc.integer({ min: 1, max: 4 }), async (worth, k) => {
        const saving = worth.flatMap((w) => [2 * w, w]); // waiting loses w, and w is left to be saved
        const limits = [ceiling(0, 10 * k), ceiling(1, 10 * k)];
        const items = { price: worth.map(() => 10), saving, years: 2, limits };
        const order = falling(worth);
        const best = 2 * sum(order.slice(0, k)) + sum(order.slice(k, 2 * k));
        const { exact, near, bound } = await savings(items);
        expect(exact).toBeCloseTo(best, 6);
        expect(near).toBeCloseTo(best, 6);
        expect(bound).toBeGreaterThanOrEqual(best - 1e-6);
      }),
      RUNS,
    );
  });

  test('one budget: the bound is the fractional optimum of Dantzig (1957), and doubles with all items', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.array(fc.tuple(fc.integer({ min: 1, max: 50 }), fc.integer({ min: 1, max: 200 })), {
          minLength: 3,
          maxLength: 12,
        }),
        async (pairs) => {
          const price = pairs.map(([p]) => p);
          const saving = pairs.map(([, s]) => s);
          const budget = 0.5 * sum(price);
          const once = await savings({ price, saving, years: 1, limits: [ceiling(0, budget)] });
          const fractional = dantzig(pairs, budget);
          expect(once.bound / fractional).toBeCloseTo(1, 4);
          const twice = { price: [...price, ...price], saving: [...saving, ...saving] };
          const doubled = await savings({ ...twice, years: 1, limits: [ceiling(0, 2 * budget)] });
          expect(doubled.bound / (2 * fractional)).toBeCloseTo(1, 4);
        },
      ),
      RUNS,
    );
  });
});

/** Items by falling saving for their price, the last in part: Dantzig, Operations Research 5 (1957) 266-277. */
function dantzig(pairs: readonly (readonly [number, number])[], budget: number): number {
  let [left, saved] = [budget, 0];
  for (const [price, saving] of [...pairs].sort((a, b) => b[1] / b[0] - a[1] / a[0])) {
    const part = Math.min(1, left / price);
    saved += part * saving;
    left -= part * price;
  }
  return saved;
}
