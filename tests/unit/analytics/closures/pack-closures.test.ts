import { expect, test } from 'vitest';
import { packClosures } from '../../../../analytics/closures/pack-closures.ts';
import { brokenRules } from './check-schedule.ts';
import { exhaustiveSearch } from './exhaustive-search.ts';
import { fluidBounds } from './fluid-bounds.ts';
import { randomProblem } from './random-problems.ts';

const QUICK = { insertions: 200, iterations: 20_000, gapShare: 0 };

test('200 small random plans: as good as the best of all schedules, and no rule is broken', async () => {
  for (let seed = 1; seed <= 200; seed++) {
    const problem = randomProblem(seed, {
      facilities: 2 + (seed % 2),
      days: 3,
      pieces: 3,
      crews: 1 + (seed % 2),
      twoPassShare: 0.3,
      longShare: 0.15,
    });
    const schedule = await packClosures(problem, QUICK);
    expect({ seed, broken: brokenRules(problem, schedule) }).toEqual({ seed, broken: [] });
    const best = exhaustiveSearch(problem);
    expect({ seed, weight: schedule.score.placedWeight }).toEqual({ seed, weight: expect.closeTo(best.weight, 6) });
    expect({ seed, cost: schedule.score.cost }).toEqual({ seed, cost: expect.closeTo(best.cost, 6) });
    expect({ seed, ended: schedule.proof.ended }).toEqual({ seed, ended: 'optimal' });
    // What larger plans are held against must never promise less than the best schedule does.
    const periodDays = [0, 2, 7][seed % 3];
    const { mostWeight, leastCost } = await fluidBounds(problem, periodDays, best.weight);
    const holds = [mostWeight >= best.weight - 1e-6, leastCost <= best.cost + 1e-6];
    expect({ seed, periodDays, holds }).toEqual({ seed, periodDays, holds: [true, true] });
  }
}, 180_000);
