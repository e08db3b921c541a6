import { describe, expect, test } from 'vitest';
import { type ChangeCandidate, cheapestChange } from '../../../../analytics/closures/cheapest-change.ts';
import { type PackingProblem, USUAL_RULES } from '../../../../analytics/closures/closure-plan.ts';
import { closureWindows, spareWindows, type WindowPattern } from '../../../../analytics/closures/closure-windows.ts';
import { packClosures } from '../../../../analytics/closures/pack-closures.ts';
import { dayNumber } from '../../../../analytics/survival/observation-dates.ts';
import { brokenRules } from './check-schedule.ts';
import { randomProblem } from './random-problems.ts';

const QUICK = { insertions: 200, iterations: 2000, gapShare: 0.01 };
/** Monday to Wednesday nights of one week: each holds 300 m at a metre a minute. */
const nights = (facilityId: string): WindowPattern => ({
  ...{ facilityId, weekdays: [0, 1, 2], startMinuteOfDay: 23 * 60, lengthMinutes: 300 },
  ...{ fromDay: dayNumber('2027-05-03'), toDay: dayNumber('2027-05-09'), mostShiftMinutes: 600 },
  shiftStartMinuteOfDay: null,
});

/** Facilities with so many pieces of 150 m each and nothing else in their way: two pieces fill a night. */
const plain = (pieces: Readonly<Record<string, number>>): PackingProblem => ({
  facilities: Object.keys(pieces).map((id) => ({
    ...{ id, name: id, closureCost: 1, setUpMinutes: 0, clearAwayMinutes: 0, mostCrews: 1 },
    ...{ earliestMinute: null, latestMinute: null },
  })),
  windows: Object.keys(pieces).flatMap((id) => closureWindows(nights(id))),
  ...{ exclusions: [], barred: [], fixed: [], previous: [] },
  crews: [{ id: 'crew', name: 'Crew', unavailable: [] }],
  blocks: Object.entries(pieces).map(([facilityId, count]) => ({
    ...{ id: `${facilityId}/1`, facilityId, weightPerM: 1, requiresClosed: [], gateId: 'any' },
    ...{ earliestMinute: null, latestMinute: null },
    pieces: Array.from({ length: count }, (_, i) => ({
      ...{ id: `${facilityId}-${i}`, segmentId: `${facilityId}-${i}`, fromM: 0, toM: 150, lengthM: 150 },
    })),
    passes: [
      {
        ...{ kind: 'reseal', operations: [], minutesPerM: { crew: 1 }, insideWaitMinutes: 0 },
        ...{ openingMinutes: 0, afterPrevious: null },
      },
    ],
  })),
  rules: { ...USUAL_RULES, reserve: null },
});

const spare = (facilityId: string): ChangeCandidate<string> => ({
  what: 'nights',
  windows: spareWindows(nights(facilityId)),
  cost: (count) => count,
  apply: (problem) => problem,
});
const twin = (problem: PackingProblem): PackingProblem => ({
  ...problem,
  crews: [...problem.crews, { id: 'twin', name: 'Twin', unavailable: [] }],
  blocks: problem.blocks.map((block) => ({
    ...block,
    passes: block.passes.map((pass) => ({ ...pass, minutesPerM: { ...pass.minutesPerM, twin: 1 } })),
  })),
});
const crew = (cost: number): ChangeCandidate<string> => ({
  ...{ what: 'crew', windows: [], cost: () => cost, apply: twin },
});

async function foundFor(problem: PackingProblem, facilityId: string, candidates: readonly ChangeCandidate<string>[]) {
  const { closures, unplaced } = await packClosures(problem, QUICK);
  expect(unplaced.length).toBeGreaterThan(0);
  return cheapestChange(problem, closures, facilityId, candidates);
}

describe('the cheapest change', () => {
  test('is as many nights as the work left over needs, and no more', async () => {
    // By hand: nine pieces, two to a night, three nights: three pieces are left and need two nights more.
    const problem = plain({ A: 9 });
    const change = await foundFor(problem, 'A', [spare('A'), crew(4)]);
    expect([change?.what, change?.windows.length, change?.cost]).toEqual(['nights', 2, 2]);
    const made = await packClosures(change?.apply(problem) as PackingProblem, QUICK);
    expect([made.unplaced, brokenRules(change?.apply(problem) as PackingProblem, made)]).toEqual([[], []]);
  });

  test('is one more crew where two facilities share one and every night is taken', async () => {
    const problem = plain({ A: 6, B: 6 });
    const { closures, unplaced } = await packClosures(problem, QUICK);
    const [{ blockId, pieceIds }] = unplaced;
    const facilityId = blockId.slice(0, 1);
    const change = cheapestChange(problem, closures, facilityId, [crew(0.5), spare(facilityId)]);
    expect(change?.what).toBe('crew');
    expect((await packClosures(change?.apply(problem) as PackingProblem, QUICK)).unplaced).toEqual([]);
    const dearer = cheapestChange(problem, closures, facilityId, [crew(9), spare(facilityId)]);
    expect([dearer?.what, dearer?.windows.length]).toEqual(['nights', pieceIds.length / 2]);
  });

  test('is none where nothing that was tried makes it fit', async () => {
    expect(await foundFor(plain({ A: 30 }), 'A', [spare('A'), crew(1)])).toBeNull();
  });

  test('on random plans does make the work fit, by the packer, with no rule broken', async () => {
    let found = 0;
    for (let seed = 300; seed < 318; seed++) {
      const size = { facilities: 3, days: 5, pieces: 12, crews: 1, twoPassShare: 0.3, longShare: 0.15 };
      const problem = randomProblem(seed, size);
      const { closures, unplaced } = await packClosures(problem, QUICK);
      const left = problem.blocks.find(({ id }) => unplaced.some(({ blockId }) => blockId === id));
      if (!left) continue;
      const windows = problem.windows
        .filter(({ facilityId }) => facilityId === left.facilityId)
        .map((window) => ({
          ...{ ...window, id: `${window.id}+`, startMinute: window.startMinute + 14_400 },
          endMinute: window.endMinute + 14_400,
          shifts: window.shifts.map((s) => ({ startMinute: s.startMinute + 14_400, endMinute: s.endMinute + 14_400 })),
        }));
      const later: ChangeCandidate<string> = {
        ...{ what: 'later', windows, cost: (count) => count, apply: (each) => each },
      };
      const change = cheapestChange(problem, closures, left.facilityId, [later]);
      if (!change) continue;
      found += 1;
      const made = await packClosures(change.apply(problem), QUICK);
      expect({ seed, broken: brokenRules(change.apply(problem), made) }).toEqual({ seed, broken: [] });
      const still = made.unplaced.filter(({ blockId }) =>
        problem.blocks.some(({ id, facilityId }) => id === blockId && facilityId === left.facilityId),
      );
      // All of the plan is packed anew, so another facility may give way: never more is left than before.
      const leftM = (all: typeof unplaced) => all.reduce((sum, { lengthM }) => sum + lengthM, 0);
      expect({ seed, less: still.length === 0 || leftM(made.unplaced) < leftM(unplaced) }).toEqual({
        seed,
        less: true,
      });
    }
    expect(found).toBeGreaterThan(3);
  });
});
