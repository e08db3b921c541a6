import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { wilsonInterval } from '../../../../analytics/closures/chance-interval.ts';
import { paceSpread } from '../../../../analytics/closures/crew-pace.ts';
import {
  finishChances,
  type JudgedRecord,
  type ShiftWork,
  type UncertainClosure,
} from '../../../../analytics/closures/finish-chance.ts';
import { dayNumber } from '../../../../analytics/survival/observation-dates.ts';

const MAY = dayNumber('2027-05-03');

const work = (change: Partial<ShiftWork> = {}): ShiftWork => ({
  ...{ crewId: 'crew', minutes: 200, mostFactor: 1.2, spread: 0.2, day: MAY, records: [] },
  ...change,
});
const closure = (id: string, shifts: readonly ShiftWork[], change: Partial<UncertainClosure> = {}) =>
  ({
    id,
    facilityId: id,
    startMinute: (shifts[0]?.day ?? MAY) * 1440,
    shifts,
    reserve: false,
    ...change,
  }) satisfies UncertainClosure;

/** A record of whole years from 1 January 2011, judged by its day. */
const record = (years: number, flagOf: (year: number, dayOfRecord: number) => number): JudgedRecord => {
  const firstDay = dayNumber('2011-01-01');
  const days = dayNumber(`${2011 + years}-01-01`) - firstDay;
  const flags = Uint8Array.from({ length: days }, (_, i) => flagOf(Math.floor(i / 365.2425), i));
  return { firstDay, flags, chanceByDay: new Float64Array(365).fill(0.5), years };
};

/** Of the standard normal: Abramowitz and Stegun, Handbook of Mathematical Functions (1964), table 26.1. */
const PHI_0_5 = 0.6914624613;
const PHI_1 = 0.8413447461;
/** Four standard errors of a share from so many draws. */
const within = (share: number, draws: number) => 4 * Math.sqrt((share * (1 - share)) / draws);
const near = (found: number | undefined, expected: number, draws = 4000) =>
  expect(Math.abs((found ?? Number.NaN) - expected)).toBeLessThan(within(expected, draws));

describe('chance to finish, against closed forms', () => {
  const draws = 4000;

  test('one shift in any weather: the lognormal tail', () => {
    for (const [deviations, expected] of [
      [0, 0.5],
      [0.5, PHI_0_5],
      [1, PHI_1],
    ]) {
      const one = closure('A', [work({ mostFactor: Math.exp(0.3 * deviations), spread: 0.3 })]);
      const { byClosure, all, years } = finishChances([one], { draws });
      near(byClosure.get('A')?.share, expected);
      expect(all).toEqual(byClosure.get('A'));
      expect(years).toBeNull();
    }
  });

  test('two crews whose pace stands by itself multiply; one crew whose pace lasts does not', () => {
    const two = [
      closure('A', [work({ crewId: 'a', mostFactor: 1 })]),
      closure('B', [work({ crewId: 'b', mostFactor: 1 })]),
    ];
    near(finishChances(two, { draws }).all.share, 0.25);
    const same = two.map((each) => ({ ...each, shifts: [work({ mostFactor: 1 })] }));
    near(finishChances(same, { draws, lastingShare: 1 }).all.share, 0.5);
    near(finishChances(same, { draws, lastingShare: 0 }).all.share, 0.25);
    // Half of the variance in common: the two exceed zero together with chance 1/4 + asin(1/2) / (2 pi) = 1/3 (Sheppard 1899).
    near(finishChances(same, { draws, lastingShare: 0.5 }).all.share, 1 / 3);
  });

  test('weather alone: the share of the years, and of the days a week either way', () => {
    const evenYears = record(10, (year) => Number(year % 2 === 0));
    const calm = (records: readonly JudgedRecord[]) => closure('A', [work({ spread: 0, mostFactor: 1, records })]);
    near(finishChances([calm([evenYears])], { draws }).byClosure.get('A')?.share, 0.5);
    const third = record(9, (_, day) => Number(day % 3 === 0));
    near(finishChances([calm([third])], { draws }).byClosure.get('A')?.share, 1 / 3);
    const unjudged = record(5, () => 2);
    near(finishChances([calm([unjudged])], { draws }).byClosure.get('A')?.share, 0.5);
    const always = record(5, () => 1);
    expect(finishChances([calm([always])]).all.share).toBe(1);
  });

  test('weather and pace: their product; a reserve night gives the work a second chance', () => {
    const third = record(9, (_, day) => Number(day % 3 === 0));
    const shifts = [work({ spread: 0.3, mostFactor: Math.exp(0.3), records: [third] })];
    const { byClosure } = finishChances([closure('A', shifts)], { draws });
    near(byClosure.get('A')?.share, PHI_1 / 3);
    // Sure pace, weather that changes from night to night: 1 - (1 - 1/3)^2, three weeks apart so in other blocks of days.
    const sure = (day: number) => [work({ spread: 0, mostFactor: 1, day, records: [third] })];
    const later = closure('A2', sure(MAY + 21), { facilityId: 'A', reserve: true });
    const { all } = finishChances([closure('A', sure(MAY)), later], { draws });
    near(all.share, 1 - (2 / 3) ** 2);
  });

  test('what one closure leaves is done in the time that the next has to spare', () => {
    const never = record(3, () => 0);
    const lost = closure('A1', [work({ minutes: 100, records: [never] })], { facilityId: 'A' });
    const next = (mostFactor: number) =>
      closure('A2', [work({ minutes: 100, mostFactor, spread: 0, day: MAY + 1 })], { facilityId: 'A' });
    expect(finishChances([lost, next(2)]).all.share).toBe(1);
    const short = finishChances([lost, next(1.5)]);
    expect([short.all.share, short.finishedShare.p50]).toEqual([0, 0.75]);
    expect(short.byClosure.get('A2')?.share).toBe(1);
  });
});

describe('intervals', () => {
  test('of a share: the worked example of Newcombe (1998, Stat. Med. 17, table I), 81 of 263', () => {
    const { low, high } = wilsonInterval(81 / 263, 263, 1.959963984540054);
    expect([low, high]).toEqual([expect.closeTo(0.2553, 4), expect.closeTo(0.3662, 4)]);
  });

  test('of a pace: eight in ten shifts between the least and the most of the bracket', () => {
    // Sixty to ninety metres an hour (FHWA-RD-99-147, table 8, abrasive blast): ln 1.5 over twice the 90 % point.
    expect(paceSpread([60, 90])).toBeCloseTo(Math.log(1.5) / (2 * 1.281552), 6);
  });

  test('are wider with fewer years of record, and with fewer draws', () => {
    const widthOf = (years: number, draws: number) => {
      const rainy = record(years, (year, day) => Number((day * 7 + year * 3) % 10 < 6));
      const one = closure('A', [work({ spread: 0, mostFactor: 1, records: [rainy] })]);
      const { low, high } = finishChances([one], { draws }).all;
      return high - low;
    };
    expect(widthOf(3, 1000)).toBeGreaterThan(widthOf(30, 1000));
    const width = (draws: number) => {
      const { low, high } = finishChances([closure('A', [work()])], { draws }).all;
      return high - low;
    };
    expect(width(100)).toBeGreaterThan(width(2000));
  });
});

describe('laws, on random plans', () => {
  const weather = [
    record(6, (year, day) => Number((day + year) % 4 > 0)),
    record(4, (_, day) => [1, 1, 0, 2][day % 4]),
  ];
  const shiftWork = fc.record({
    crewId: fc.constantFrom('a', 'b'),
    minutes: fc.integer({ min: 20, max: 300 }),
    mostFactor: fc.double({ min: 0.5, max: 2, noNaN: true }),
    spread: fc.constantFrom(0, 0.1, 0.4),
    day: fc.integer({ min: MAY, max: MAY + 40 }),
    records: fc.subarray(weather),
  });
  const plan = fc
    .array(
      fc.record({
        facilityId: fc.constantFrom('F', 'G'),
        shifts: fc.array(shiftWork, { minLength: 1, maxLength: 2 }),
        reserve: fc.boolean(),
      }),
      { minLength: 1, maxLength: 6 },
    )
    .map((all) =>
      all.map((each, i): UncertainClosure => ({ ...each, id: `c${i}`, startMinute: each.shifts[0].day * 1440 })),
    );
  const chancesOf = (closures: readonly UncertainClosure[]) => finishChances(closures, { draws: 60 });

  test('the same seed gives the same bytes, in whatever order closures come; shares lie in their intervals', () => {
    fc.assert(
      fc.property(plan, (closures) => {
        const found = chancesOf(closures);
        const again = chancesOf([...closures].reverse());
        for (const [id, chance] of found.byClosure) {
          expect(again.byClosure.get(id)).toEqual(chance);
          expect(chance.low <= chance.share && chance.share <= chance.high).toBe(true);
        }
        expect({ ...again, byClosure: null }).toEqual({ ...found, byClosure: null });
      }),
      { numRuns: 40, seed: 5 },
    );
  });

  test('longer windows, a reserve more or one limit less never lower a chance', () => {
    fc.assert(
      fc.property(plan, fc.nat(), fc.double({ min: 1, max: 1.5, noNaN: true }), (closures, at, longer) => {
        const before = chancesOf(closures);
        const chosen = closures[at % closures.length];
        const changed = (shifts: readonly ShiftWork[]) =>
          chancesOf(closures.map((each) => (each === chosen ? { ...each, shifts } : each)));
        const roomier = changed(chosen.shifts.map((each) => ({ ...each, mostFactor: each.mostFactor * longer })));
        const drier = changed(chosen.shifts.map((each) => ({ ...each, records: each.records.slice(1) })));
        const held = { ...chosen, id: 'held', reserve: true, startMinute: (MAY + 60) * 1440 };
        for (const after of [roomier, drier, chancesOf([...closures, held])]) {
          expect(after.all.share).toBeGreaterThanOrEqual(before.all.share);
          for (const [id, { share }] of before.byClosure)
            expect(after.byClosure.get(id)?.share ?? 0).toBeGreaterThanOrEqual(share);
        }
      }),
      { numRuns: 40, seed: 6 },
    );
  });
});
