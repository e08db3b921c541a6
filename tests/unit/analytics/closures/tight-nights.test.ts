import { expect, test } from 'vitest';
import { packClosures } from '../../../../analytics/closures/pack-closures.ts';
import { binPackingPlan } from './bin-packing.ts';
import { brokenRules } from './check-schedule.ts';
import { fluidBounds } from './fluid-bounds.ts';
import { inventedAirport } from './invented-airport.ts';
import { randomProblem } from './random-problems.ts';

const SMALL = { runways: 2, taxiways: 4, aprons: 2, segments: 250, nights: 24, seed: 3, twoPasses: false };

test('an airport whose nights are nearly full: proven within 2 %, no rule broken', async () => {
  const problem = inventedAirport({ ...SMALL, crews: 2, load: 0.85 });
  const effort = { insertions: 8000, iterations: 8000, gapShare: 0.02 };
  const schedule = await packClosures(problem, effort);
  expect(brokenRules(problem, schedule)).toEqual([]);
  expect(schedule.proof.workGapShare).toBeLessThanOrEqual(0.02);
  expect(schedule.proof.costGapShare).toBeLessThanOrEqual(0.02);
}, 180_000);

test('the same airport gives the same schedule each time', async () => {
  const problem = inventedAirport({ ...SMALL, crews: 2, load: 0.85 });
  const little = { insertions: 800, iterations: 1000, gapShare: 0.005 };
  const schedule = await packClosures(problem, little);
  expect(schedule.proof.ended).toBe('effort-spent');
  expect(await packClosures(problem, little)).toEqual(schedule);
}, 180_000);

test('an airport with one crew and twice the work it can do: proven within 2 %, no rule broken', async () => {
  const problem = inventedAirport({ ...SMALL, crews: 1, load: 2 });
  const schedule = await packClosures(problem, { insertions: 8000, gapShare: 0.02 });
  expect(brokenRules(problem, schedule)).toEqual([]);
  expect(schedule.proof.workGapShare).toBeLessThanOrEqual(0.02);
  expect(schedule.proof.costGapShare).toBeLessThanOrEqual(0.02);
});

test('6 larger random plans: no schedule that was found beats a bound, whatever the periods of the bound', async () => {
  for (let seed = 1; seed <= 6; seed++) {
    const problem = randomProblem(seed + 9000, {
      ...{ facilities: 3 + (seed % 4), days: 8, pieces: 24, crews: 1 + (seed % 3), blockPieces: 4 },
      ...{ twoPassShare: 0.6, longShare: 0.2 },
    });
    let stage = '';
    const { score } = await packClosures(problem, {
      insertions: 100,
      onProgress: (progress) => {
        stage = progress.stage;
      },
      cancelled: () => stage === 'proving',
    });
    for (const periodDays of [0, 2, 7]) {
      const { mostWeight, leastCost } = await fluidBounds(problem, periodDays, score.placedWeight, 1500);
      const holds = [mostWeight >= score.placedWeight - 1e-6, leastCost <= score.cost + 1e-6];
      expect({ seed, periodDays, holds }).toEqual({ seed, periodDays, holds: [true, true] });
    }
  }
}, 180_000);

test('pieces of 100 m where a shift has time for 239 m: two to a shift, and the bound knows it', async () => {
  // 54 pieces in three blocks, one crew, 12 nights: 24 pieces can be placed, not 12 x 239 / 100 = 28.
  const plan = binPackingPlan(Array(54).fill(100), 239, 12);
  const blocks = [0, 1, 2].map((b) => {
    const own = plan.blocks.slice(18 * b, 18 * (b + 1));
    return { ...own[0], pieces: own.flatMap(({ pieces }) => pieces) };
  });
  const { mostWeight } = await fluidBounds({ ...plan, blocks }, 7, 2400);
  expect(mostWeight).toBeCloseTo(2400, 3);
});
