import { expect, test } from 'vitest';
import { packClosures } from '../../../../analytics/closures/pack-closures.ts';
import { brokenRules } from './check-schedule.ts';
import { exhaustiveSearch } from './exhaustive-search.ts';
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
  }
});
