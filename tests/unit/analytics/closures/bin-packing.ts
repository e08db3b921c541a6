import { type PackingProblem, USUAL_RULES } from '../../../../analytics/closures/closure-plan.ts';
import { seededRandom } from '../../../../analytics/numeric/seeded-normals.ts';

/**
 * Bin packing as a plan of closures: one facility, one crew, nights that hold `capacity` minutes, and each item a block by
 * itself at a minute a metre. A closure counts 1 whenever it is, so the least cost is the least number of bins.
 */
export function binPackingPlan(items: readonly number[], capacity: number, bins: number): PackingProblem {
  const facility = { id: 'F', name: 'F', closureCost: 1, setUpMinutes: 0, clearAwayMinutes: 0, mostCrews: 1 };
  return {
    facilities: [{ ...facility, earliestMinute: null, latestMinute: null }],
    windows: Array.from({ length: bins }, (_, day) => {
      const [startMinute, endMinute] = [day * 2880, day * 2880 + capacity];
      const shifts = [{ startMinute, endMinute }];
      return {
        id: `W${day}`,
        facilityId: 'F',
        startMinute,
        endMinute,
        shifts,
        clockChangeMinutes: 0,
        chanceByGate: {},
      };
    }),
    ...{ exclusions: [], barred: [], fixed: [], previous: [] },
    crews: [{ id: 'C', name: 'C', unavailable: [] }],
    blocks: [...items]
      .sort((a, b) => b - a)
      .map((lengthM, i) => ({
        ...{ id: `B${i}`, facilityId: 'F', weightPerM: 1, requiresClosed: [], gateId: 'any' },
        ...{ earliestMinute: null, latestMinute: null },
        pieces: [{ id: `P${i}`, segmentId: `P${i}`, fromM: 0, toM: lengthM, lengthM }],
        passes: [
          {
            ...{ kind: 'reseal' as const, operations: [], minutesPerM: { C: 1 }, insideWaitMinutes: 0 },
            ...{ openingMinutes: 0, afterPrevious: null },
          },
        ],
      })),
    rules: { ...USUAL_RULES, reserve: null, latenessWeight: 0, crewShiftCost: 0, keepWeight: 0 },
  };
}

/**
 * Triplets: bins of 1000 cut into three items between 250 and 500, so that no bin can hold more than three and the best
 * packing fills each to the brim: n / 3 bins, by construction. E. Falkenauer, J. Heuristics 2 (1996).
 */
export function triplets(bins: number, seed: number): number[] {
  const { uniform } = seededRandom(seed);
  const between = (low: number, high: number) => low + Math.floor(uniform() * (high - low + 1));
  return Array.from({ length: bins }, () => {
    const first = between(380, 490);
    const second = between(251, Math.floor((1000 - first) / 2));
    return [first, second, 1000 - first - second];
  }).flat();
}

/** OR-Library (J. E. Beasley), file binpack1, first instance u120_00: capacity 150, best known 48, proven. */
export const U120_00 = {
  capacity: 150,
  optimum: 48,
  items: [
    ...[42, 69, 67, 57, 93, 90, 38, 36, 45, 42, 33, 79, 27, 57, 44, 84, 86, 92, 46, 38, 85, 33, 82, 73],
    ...[49, 70, 59, 23, 57, 72, 74, 69, 33, 42, 28, 46, 30, 64, 29, 74, 41, 49, 55, 98, 80, 32, 25, 38],
    ...[82, 30, 35, 39, 57, 84, 62, 50, 55, 27, 30, 36, 20, 78, 47, 26, 45, 41, 58, 98, 91, 96, 73, 84],
    ...[37, 93, 91, 43, 73, 85, 81, 79, 71, 80, 76, 83, 41, 78, 70, 23, 42, 87, 43, 84, 60, 55, 49, 78],
    ...[73, 62, 36, 44, 94, 69, 32, 96, 70, 84, 58, 78, 25, 80, 58, 66, 83, 24, 98, 60, 42, 43, 43, 39],
  ],
};
