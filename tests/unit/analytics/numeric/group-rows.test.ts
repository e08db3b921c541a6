import fc from 'fast-check';
import { expect, test } from 'vitest';
import { groupRows } from '../../../../analytics/numeric/group-rows.ts';

const value = fc.constantFrom(0, -0, 1, 1.5, -1, Infinity, 1e-300, 2 ** 52);

test('rows share a group exactly when they are equal, in the order of first appearance', () => {
  fc.assert(
    fc.property(fc.integer({ min: 1, max: 3 }), fc.array(value, { maxLength: 60 }), (columns, cells) => {
      const rows = Math.floor(cells.length / columns);
      const { groupOf, firstRow } = groupRows(Float64Array.from(cells), rows, columns);
      const known = new Map<string, number>();
      for (let i = 0; i < rows; i++) {
        // Adding 0 makes 0 of -0, as the groups do.
        const key = cells.slice(i * columns, (i + 1) * columns).map((v) => `${v + 0}`);
        const group = known.get(key.join()) ?? known.size;
        known.set(key.join(), group);
        expect(groupOf[i]).toBe(group);
      }
      expect(firstRow).toHaveLength(known.size);
      firstRow.forEach((row, group) => {
        expect(groupOf.indexOf(group)).toBe(row);
      });
    }),
    { seed: 1, numRuns: 300 },
  );
});

test('a table without columns is one group, and one without rows none', () => {
  expect([...groupRows(new Float64Array(0), 3, 0).groupOf]).toEqual([0, 0, 0]);
  expect(groupRows(new Float64Array(0), 0, 2).firstRow).toHaveLength(0);
});
