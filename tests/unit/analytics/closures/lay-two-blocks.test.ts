import { expect, test } from 'vitest';
import { layTwoBlocks } from '../../../../analytics/closures/lay-two-blocks.ts';
import { type CrewShift, layWork } from '../../../../analytics/closures/lay-work.ts';
import { packingIndex } from '../../../../analytics/closures/packing-index.ts';
import { seededRandom } from '../../../../analytics/numeric/seeded-normals.ts';
import { binPackingPlan } from './bin-packing.ts';

/** One facility with two blocks of a few pieces, the second of which can be worked in covered shifts only. */
function twoBlocks(seed: number) {
  const { uniform } = seededRandom(seed);
  const draw = (low: number, high: number) => low + Math.floor(uniform() * (high - low + 1));
  const plan = binPackingPlan([1, 1], 100, 4);
  const support = { ...plan.facilities[0], id: 'G' };
  const blocks = plan.blocks.map((block, b) => ({
    ...block,
    weightPerM: draw(1, 2),
    requiresClosed: b === 1 ? ['G'] : [],
    pieces: Array.from({ length: draw(1, 6) }, (_, i) => {
      const lengthM = draw(15, 70);
      return { id: `P${b}-${i}`, segmentId: `P${b}-${i}`, fromM: 0, toM: lengthM, lengthM };
    }),
  }));
  const covered = Array.from({ length: 4 }, () => uniform() < 0.5);
  return { problem: { ...plan, facilities: [...plan.facilities, support], blocks }, covered };
}

/** Tries every share of each shift between the two blocks. */
function mostByTrial({ problem, covered }: ReturnType<typeof twoBlocks>): number {
  const [a, b] = problem.blocks;
  const metres = (block: typeof a, from: number, to: number) =>
    block.pieces.slice(from, to).reduce((sum, { lengthM }) => sum + lengthM, 0);
  const best = (shift: number, fromA: number, fromB: number): number => {
    if (shift === covered.length) return 0;
    let most = 0;
    for (let toA = fromA; toA <= a.pieces.length; toA++)
      for (let toB = fromB; toB <= b.pieces.length; toB++) {
        const [inA, inB] = [metres(a, fromA, toA), metres(b, fromB, toB)];
        if (inA + inB > 100 || (inB > 0 && !covered[shift])) continue;
        most = Math.max(most, inA * a.weightPerM + inB * b.weightPerM + best(shift + 1, toA, toB));
      }
    return most;
  };
  return best(0, 0, 0);
}

test('100 small facilities of two blocks: as much is laid as by trying every share of each shift', () => {
  let better = 0;
  for (let seed = 1; seed <= 100; seed++) {
    const small = twoBlocks(seed);
    const index = packingIndex(small.problem);
    const slots = index.slots.filter(({ facility }) => facility === 0);
    const crewShifts = slots.map(({ shiftFrom }): CrewShift => ({ shift: shiftFrom, group: 0 }));
    const covered = (shift: number) => small.covered[crewShifts.findIndex((crewShift) => crewShift.shift === shift)];
    const laid = layTwoBlocks(index, 0, crewShifts, covered);
    expect({ seed, weight: laid?.weight }).toEqual({ seed, weight: expect.closeTo(mostByTrial(small), 6) });
    const tasks = laid?.tasks ?? [];
    for (const [c, { shift }] of crewShifts.entries()) {
      const own = tasks.filter(({ crewShift }) => crewShift === c);
      expect(own.reduce((sum, { minutes }) => sum + minutes, 0)).toBeLessThanOrEqual(100 + 1e-6);
      expect(covered(shift) || own.every(({ block }) => block === 0)).toBe(true);
    }
    index.blocksOf[0].forEach((b, i) => {
      const runs = tasks.filter(({ block }) => block === b);
      expect(runs.map(({ from }) => from)).toEqual([0, ...runs.slice(0, -1).map(({ to }) => to)].slice(0, runs.length));
      expect(runs.at(-1)?.to ?? 0).toBe(laid?.done[i]);
    });
    if ((laid?.weight ?? 0) > layWork(index, 0, crewShifts, covered).weight + 1e-6) better++;
  }
  expect(better).toBeGreaterThan(5);
});

test('facilities with one block, or with work that is opened and sealed apart, are laid otherwise', () => {
  const index = packingIndex(binPackingPlan([40], 100, 2));
  expect(layTwoBlocks(index, 0, [{ shift: 0, group: 0 }], () => true)).toBeNull();
});
