import { describe, expect, test } from 'vitest';
import { inPlaceFailedBy } from '../../../../analytics/program/after-horizon.ts';
import { programProblem } from '../../../../analytics/program/build-problem.ts';
import type { ProgramInput } from '../../../../analytics/program/program-input.ts';
import { WORK } from '../../../../analytics/program/program-problem.ts';
import { requiredWorkFaults } from '../../../../analytics/program/work-mask.ts';
import { inventedNetwork } from './invented-network.ts';

const { input } = inventedNetwork();
const problem = programProblem(input);
const yearsOf = (work: Uint8Array, i: number, years = input.years) => [...work.subarray(i * years, (i + 1) * years)];

describe('segments become economic types', () => {
  test('few types, and each segment finds its own prices, open cost and lives in its type', () => {
    const { types, type } = problem;
    expect(types.count).toBeLessThan(input.count);
    for (let i = 0; i < input.count; i++) {
      expect(types.openCostPerMYear[type[i]]).toBe(input.openCostPerMYear[i]);
      let curvesBefore = 0;
      input.newLives.forEach((lives, c) => {
        const price = input.pricePerM[i * 3 + c];
        const row = types.curve[type[i] * 3 + c];
        if (Number.isNaN(price)) expect(row).toBe(-1);
        else {
          expect(types.pricePerM[type[i] * 3 + c]).toBe(price);
          expect(row).toBe(curvesBefore + lives.curve[i]);
          expect(types.failedByAge[row * (types.oldestAge + 1) + 9]).toBe(
            lives.failedByAge[lives.curve[i] * (lives.oldestAge + 1) + 9],
          );
        }
        curvesBefore += lives.failedByAge.length / (lives.oldestAge + 1);
      });
    }
  });

  test('chances in the horizon are the forecast’s, those beyond it feed the cost after it', () => {
    const { failedByYearEnd, yearEnds } = input.inPlace;
    for (let i = 0; i < input.count; i++) {
      for (let t = 0; t < input.years; t++)
        expect(problem.failedByYearEnd[i * input.years + t]).toBeCloseTo(failedByYearEnd[i * yearEnds + t], 9);
      if (problem.goneFromYear[i] < input.years) expect(problem.finalCostIfNeverPerM[i]).toBe(0);
      else expect(problem.finalCostIfNeverPerM[i]).toBeGreaterThan(0);
    }
    // A seal in place is worth most while it is young: never more to come after it than after the oldest of its chances.
    const certain = { ...input.inPlace, failedByYearEnd: failedByYearEnd.map(() => 1) };
    const dearer = programProblem({ ...input, inPlace: certain });
    dearer.finalCostIfNeverPerM.forEach((cost, i) => {
      expect(cost).toBeGreaterThanOrEqual(problem.finalCostIfNeverPerM[i] - 1e-9);
    });
    expect(inPlaceFailedBy(input.inPlace, 0, yearEnds + 3)).toBeGreaterThanOrEqual(failedByYearEnd[yearEnds - 1]);
  });

  test('without discounting what follows is finite, and differs between plans as at a very low rate', () => {
    const none = programProblem({ ...input, discountRatePerYear: 0 });
    const low = programProblem({ ...input, discountRatePerYear: 1e-5 });
    // Both valued at the horizon's end: never resealing less a new seal of class 0.
    const never = ({ finalCostIfNeverPerM, types, type, discountRatePerYear }: typeof none, i: number) =>
      finalCostIfNeverPerM[i] * (1 + discountRatePerYear) ** 11 - types.finalCostPerM[type[i] * 3 * 13];
    for (let i = 0; i < input.count; i++) {
      if (problem.goneFromYear[i] < input.years) continue;
      expect(Math.abs(never(none, i))).toBeLessThan(100);
      expect(Math.abs(never(none, i) - never(low, i))).toBeLessThan(0.02);
    }
  });
});

describe('which years may hold work', () => {
  test('held back before the pavement is replaced in year 6, and gone from then on', () => {
    expect(input.replacedInYear[3]).toBe(6);
    expect(yearsOf(problem.work, 3)).toEqual([1, 1, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0]);
    expect(problem.goneFromYear[3]).toBe(6);
    expect(yearsOf(problem.work, 4)).toEqual(Array(12).fill(WORK.allowed));
    expect(problem.goneFromYear[4]).toBe(12);
  });

  test('a replacement beyond the horizon holds back but leaves the segment in', () => {
    const later = programProblem({ ...input, replacedInYear: input.replacedInYear.map(() => 13) });
    expect(yearsOf(later.work, 0)).toEqual([1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 0, 0]);
    expect(later.goneFromYear[0]).toBe(12);
  });

  test('settled work goes before barred years, and keeps its class', () => {
    const made = programProblem({
      ...input,
      barred: [{ segment: 5, fromYear: 0, toYear: 30 }],
      required: [{ segment: 5, year: 4, sealantClass: 1 }],
    });
    expect(yearsOf(made.work, 5)).toEqual([0, 0, 0, 0, 2, 0, 0, 0, 0, 0, 0, 0]);
    expect([made.requiredClass[5], made.requiredClass[6]]).toEqual([1, -1]);
  });

  test('a segment that no class may be used on has no work', () => {
    const pricePerM = input.pricePerM.map((price, at) => (at < 3 ? Number.NaN : price));
    expect(yearsOf(programProblem({ ...input, pricePerM }).work, 0)).toEqual(Array(12).fill(WORK.barred));
  });

  test('settled work that cannot be done is named', () => {
    const fuel = [...input.pricePerM.keys()].find((at) => Number.isNaN(input.pricePerM[at])) ?? -1;
    const required: ProgramInput['required'] = [
      { segment: 0, year: 12, sealantClass: -1 },
      { segment: 3, year: 6, sealantClass: 0 },
      { segment: Math.floor(fuel / 3), year: 1, sealantClass: 2 },
      { segment: 1, year: 1, sealantClass: 0 },
      { segment: 1, year: 9, sealantClass: 1 },
    ];
    const faults = requiredWorkFaults({ ...input, required }).map(({ why }) => why);
    expect(faults).toEqual(['outside-horizon', 'pavement-replaced', 'class-not-allowed', 'two-classes']);
    expect(() => programProblem({ ...input, required })).toThrow('segment 0 in year 12: outside-horizon');
  });
});

test.each<[Partial<ProgramInput>, RegExp]>([
  [{ years: 41 }, /years is 41; expected a whole number from 1 to 40/],
  [{ years: 20 }, /inPlace.yearEnds is 17; expected a whole number from 20/],
  [{ lengthM: input.lengthM.map(() => 0) }, /lengthM\[0\] is 0; expected above 0/],
  [{ district: new Int32Array(3) }, /district has 3 entries; expected 60/],
  [{ pricePerM: input.pricePerM.map(() => -1) }, /pricePerM\[0\] is -1; expected above 0, or NaN/],
  [{ discountRatePerYear: -0.01 }, /discountRatePerYear is -0.01/],
])('bad input is refused: %#', (change, message) => {
  expect(() => programProblem({ ...input, ...change })).toThrow(message);
});
