import { describe, expect, test } from 'vitest';
import { allNeedsMetPlan } from '../../../../analytics/program/baselines.ts';
import { programProblem } from '../../../../analytics/program/build-problem.ts';
import type { ProgramPlan, ProgramProblem } from '../../../../analytics/program/program-problem.ts';
import type { WorkReason } from '../../../../analytics/program/work-reason.ts';
import { workReasons } from '../../../../analytics/program/work-reasons.ts';
import { workSentence } from '../../../../analytics/program/work-sentence.ts';
import { inventedNetwork } from './invented-network.ts';
import { small } from './small-problem.ts';

/** Two segments of one facility, 100 m each; the second has hardly failed. */
const pair: ProgramProblem = {
  ...small,
  count: 2,
  lengthM: Float64Array.of(100, 100),
  facility: Int32Array.of(0, 0),
  district: Int32Array.of(0, 0),
  facilityKind: Int32Array.of(0, 0),
  type: Int32Array.of(0, 0),
  failedByYearEnd: Float64Array.of(...small.failedByYearEnd, 0.01, 0.02, 0.03),
  finalCostIfNeverPerM: Float64Array.of(20, 8),
  work: new Uint8Array(6).fill(1),
  requiredClass: Int32Array.of(-1, -1),
  goneFromYear: Int32Array.of(3, 3),
  facilities: { count: 1, mobilisationCost: Float64Array.of(1000), district: Int32Array.of(0) },
};
const both = (year: number): ProgramPlan => ({
  segment: Int32Array.of(0, 1),
  year: Int32Array.of(year, year),
  sealantClass: Int32Array.of(0, 0),
});
const because = (problem: ProgramProblem, year = 1) => workReasons(problem, both(year)).map((reason) => reason.because);

describe('the numbers behind a work', () => {
  test('by hand: chance, what waiting and leaving would cost more, neighbours', () => {
    const [first] = workReasons(pair, both(1));
    // In year 1: 400 x 0.5 + 500 / 1.25 + 400 x 0.1 / 1.5625 + 1000 / 1.5625 = 1265.6.
    // In year 2: 400 x (0.5 + 0.7 / 1.25) + 500 / 1.5625 + 800 / 1.5625 = 1256. Never: 654.4 + 2000 = 2654.4.
    expect(first).toMatchObject({ segment: 0, year: 1, sealantClass: 0, failedChance: 0.7, neighbours: 1 });
    expect(first.savedAgainstWaiting).toBeCloseTo(1256 - 1265.6, 9);
    expect(first.savedAgainstNever).toBeCloseTo(2654.4 - 1265.6, 9);
  });

  test('in the last year, and before another work, it cannot wait', () => {
    const [last] = workReasons(pair, both(2));
    expect(last.savedAgainstWaiting).toBeNull();
    const twice = { segment: Int32Array.of(0, 0), year: Int32Array.of(1, 2), sealantClass: Int32Array.of(0, 0) };
    const [first, second] = workReasons(pair, twice);
    expect(first.savedAgainstWaiting).toBeNull();
    expect([second.failedChance, second.cheapestYear]).toEqual([0.1, null]);
  });

  test('why: settled, for the least job, to share a closure, or by limits', () => {
    expect(because(pair)).toEqual(['shared-closure', 'shared-closure']);
    expect(because({ ...pair, minimumJobM: 150 })).toEqual(['least-job', 'least-job']);
    const cheapTrip = { ...pair.facilities, mobilisationCost: Float64Array.of(1) };
    expect(because({ ...pair, facilities: cheapTrip })).toEqual(['limits', 'limits']);
    expect(because({ ...pair, work: Uint8Array.of(1, 2, 1, 1, 1, 1) })[0]).toBe('committed');
    expect(because({ ...pair, types: { ...pair.types, openCostPerMYear: Float64Array.of(9) } })[0]).toBe('worth-it');
  });

  test('at its cheapest years each work is worth it, and its first one is in the year named', () => {
    const problem = programProblem(inventedNetwork().input);
    const reasons = workReasons(problem, allNeedsMetPlan(problem));
    expect(reasons.length).toBeGreaterThan(30);
    const firsts = new Set<number>();
    for (const { because: why, savedAgainstNever, cheapestYear, segment, year } of reasons) {
      expect(why).toBe('worth-it');
      expect(savedAgainstNever).toBeGreaterThanOrEqual(0);
      if (!firsts.has(segment)) expect(cheapestYear).toBe(year);
      firsts.add(segment);
    }
  });
});

describe('the sentence', () => {
  const reason: WorkReason = {
    segment: 0,
    year: 3,
    sealantClass: 1,
    failedChance: 0.868,
    savedAgainstWaiting: 1912,
    savedAgainstNever: 9000,
    neighbours: 14,
    mobilisationCost: 3000,
    cheapestYear: 3,
    because: 'worth-it',
  };
  const say = (change: Partial<WorkReason> = {}, terms = {}) =>
    workSentence({ ...reason, ...change }, { planningYear: 2026, years: 20, ...terms });

  test('chance, saving and neighbours', () => {
    expect(say()).toBe(
      '87 % likely failed by 2029; resealing in 2029 costs 1,900 less than waiting, over 20 years and what follows; placed with 14 neighbours of the same closure.',
    );
  });

  test('another year would be cheapest for it alone', () => {
    expect(say({ cheapestYear: 1, neighbours: 1 })).toMatch(
      /placed with 1 neighbour of the same closure; alone and without limits 2027 would be its cheapest year\.$/,
    );
  });

  test('it cannot wait, or waiting costs the same', () => {
    expect(say({ savedAgainstWaiting: null, neighbours: 0 })).toBe(
      '87 % likely failed by 2029; resealing in 2029 costs 9,000 less than leaving it, over 20 years and what follows.',
    );
    expect(say({ savedAgainstWaiting: 0.4 })).toMatch(/costs about the same as waiting/);
  });

  test('each reason for coming early is told', () => {
    const early = { savedAgainstWaiting: -41, failedChance: 0.12 };
    expect(say({ ...early, because: 'least-job' })).toMatch(
      /^12 % likely failed by 2029; waiting a year would cost 41 less, but without it the job there would be too small;/,
    );
    expect(say({ ...early, because: 'shared-closure' })).toMatch(/41 less, but a closure of its own costs 3,000;/);
    expect(say({ ...early, because: 'limits' })).toMatch(/for this joint alone, but the limits and targets of all/);
  });

  test('settled work says by whom, known failure and certain chances are said in words', () => {
    expect(say({ because: 'committed' }, { knownFailed: true })).toMatch(
      /^Committed beforehand: known to have failed;/,
    );
    expect(say({ failedChance: 1 })).toMatch(/^More than 99 % likely failed by 2029;/);
    expect(say({ because: 'committed' }, { settledBy: 'hand' })).toMatch(/^Chosen by hand: 87 % likely/);
    expect(say({ failedChance: 0.998 })).toMatch(/^More than 99 % likely/);
    expect(say({ failedChance: 0.001 })).toMatch(/^Less than 1 % likely/);
  });
});
