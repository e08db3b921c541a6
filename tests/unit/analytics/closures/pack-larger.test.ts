import { expect, test } from 'vitest';
import type { PackingProblem } from '../../../../analytics/closures/closure-plan.ts';
import { packClosures } from '../../../../analytics/closures/pack-closures.ts';
import { binPackingPlan, triplets, U120_00 } from './bin-packing.ts';
import { brokenRules } from './check-schedule.ts';
import { randomProblem } from './random-problems.ts';

/** Search without proof: called off as soon as the proof begins, as a user might. */
async function packUnproven(problem: PackingProblem) {
  let stage = '';
  return packClosures(problem, {
    insertions: 120,
    iterations: 50,
    onProgress: (progress) => {
      stage = progress.stage;
    },
    cancelled: () => stage === 'proving',
  });
}

/** First fit by falling size, as any textbook has it. */
function firstFit(items: readonly number[], capacity: number): number {
  const room: number[] = [];
  for (const item of [...items].sort((a, b) => b - a)) {
    const at = room.findIndex((free) => free >= item);
    if (at < 0) room.push(capacity - item);
    else room[at] -= item;
  }
  return room.length;
}

test('20 larger random plans, up to 8 facilities, 60 blocks and some 40 windows: no rule is broken, whatever the load', async () => {
  let most = { blocks: 0, windows: 0, unplaced: 0 };
  for (let seed = 1; seed <= 20; seed++) {
    const problem = randomProblem(seed + 5000, {
      facilities: 3 + (seed % 6),
      days: 5 + (seed % 3),
      pieces: 20 + 6 * seed,
      blockPieces: 1 + (seed % 3) * 2,
      crews: 1 + (seed % 4),
      twoPassShare: 0.4,
      longShare: 0.2,
    });
    const schedule = await packUnproven(problem);
    expect({ seed, broken: brokenRules(problem, schedule) }).toEqual({ seed, broken: [] });
    most = {
      blocks: Math.max(most.blocks, problem.blocks.length),
      windows: Math.max(most.windows, problem.windows.length),
      unplaced: Math.max(most.unplaced, schedule.unplaced.length),
    };
  }
  expect(most.blocks).toBeGreaterThan(60);
  expect(most.windows).toBeGreaterThan(38);
  expect(most.unplaced).toBeGreaterThan(5);
});

test('a plan packed anew around its own locked half breaks no rule either', async () => {
  for (let seed = 1; seed <= 10; seed++) {
    const size = { facilities: 5, days: 6, pieces: 24, blockPieces: 3, crews: 2, twoPassShare: 0, longShare: 0.2 };
    const problem = randomProblem(seed + 7000, size);
    const first = await packUnproven(problem);
    const fixed = first.closures.filter(({ closedFor }, i) => i % 2 === 0 && closedFor.length === 0);
    const done = new Set(fixed.flatMap(({ tasks }) => tasks.flatMap(({ pieceIds }) => pieceIds)));
    const blocks = problem.blocks
      .map((block) => ({ ...block, pieces: block.pieces.filter(({ id }) => !done.has(id)) }))
      .filter(({ pieces }) => pieces.length > 0);
    const rest = { ...problem, blocks, fixed };
    expect({ seed, broken: brokenRules(rest, await packUnproven(rest)) }).toEqual({ seed, broken: [] });
  }
});

test('bin packing, triplets: small ones are solved to their optimum of a third of the items', async () => {
  for (const [bins, seed] of [
    [3, 1],
    [4, 2],
    [5, 3],
  ]) {
    const { score, proof } = await packClosures(binPackingPlan(triplets(bins, seed), 1000, bins + 2), { gapShare: 0 });
    expect([score.closures, proof.ended]).toEqual([bins, 'optimal']);
  }
});

test('bin packing, larger: all is packed, the optimum lies between bound and schedule, no worse than first fit', async () => {
  const cases = [{ items: triplets(20, 4), capacity: 1000, optimum: 20 }, U120_00];
  for (const { items, capacity, optimum } of cases) {
    const problem = binPackingPlan(items, capacity, optimum + 6);
    const schedule = await packClosures(problem, { insertions: 16, iterations: 200 });
    expect(brokenRules(problem, schedule)).toEqual([]);
    expect(schedule.unplaced).toEqual([]);
    const { score, proof } = schedule;
    expect(score.cost).toBe(score.closures);
    expect(score.closures).toBeGreaterThanOrEqual(optimum);
    expect(score.closures).toBeLessThanOrEqual(firstFit(items, capacity));
    expect(proof.leastCost).toBeLessThanOrEqual(optimum + 1e-6);
    expect(proof.leastCost).toBeGreaterThan(optimum - 1);
  }
});
