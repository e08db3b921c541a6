import fc from 'fast-check';
import { expect, test } from 'vitest';
import { PriceBundle } from '../../../../../analytics/program/solver/price-bundle.ts';

/** Items that may be left (cost 0) or taken (cost -worth), as one block each; the answer to any prices is immediate. */
function priceOf(
  items: readonly { worth: number; size: number[] }[],
  room: number[],
): { prices: Float64Array; value: number } {
  const most = Float64Array.from(room);
  const dearest = new Float64Array(room.length).fill(1e6);
  const bundle = new PriceBundle({ most, scale: most, dearest }, new Float64Array(room.length));
  for (let round = 0; round < 200; round++) {
    const prices = bundle.trial;
    bundle.answer(
      items.map(({ worth, size }, block) => {
        const pays = worth > size.reduce((sum, s, r) => sum + s * prices[r], 0);
        return { block, cost: pays ? -worth : 0, used: Float64Array.from(size, (s) => (pays ? s : 0)) };
      }),
    );
  }
  return { prices: bundle.center, value: bundle.centerValue };
}

test('one row: the price is the worth for size of the item taken in part (Dantzig 1957)', () => {
  const pair = fc.record({ worth: fc.integer({ min: 1, max: 99 }), size: fc.integer({ min: 1, max: 20 }) });
  fc.assert(
    fc.property(fc.array(pair, { minLength: 3, maxLength: 20 }), (drawn) => {
      const items = [...drawn].sort((a, b) => b.worth / b.size - a.worth / a.size);
      const room = 0.37 * items.reduce((sum, { size }) => sum + size, 0);
      let [left, taken] = [room, 0];
      for (const { worth, size } of items) {
        const part = Math.min(1, left / size);
        taken += part * worth;
        left -= part * size;
      }
      const asked = items.map(({ worth, size }) => ({ worth, size: [size] }));
      expect(priceOf(asked, [room]).value / -taken).toBeCloseTo(1, 5);
    }),
    { seed: 3, numRuns: 30 },
  );
});

test('two rows: the dual of a linear program solved by hand', () => {
  // A (worth 3, sizes 1 and 1) and B (worth 2, sizes 1 and 3), each up to once, within 1.5 and 2.5: A in full, then B by
  // half, which fills both rows: 3 + 1. Less of A by e would allow at most e/3 more of B.
  const { value } = priceOf(
    [
      { worth: 3, size: [1, 1] },
      { worth: 2, size: [1, 3] },
    ],
    [1.5, 2.5],
  );
  expect(value).toBeCloseTo(-4, 4);
});
