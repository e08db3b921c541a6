import { expect, test } from 'vitest';
import type { Closure, Schedule } from '../../../../server/schemas/closures.ts';
import { chosenPlan, closurePartFor, planState } from '../../../../web/state/closure-open.ts';
import { readClosureView, writeClosureView } from '../../../../web/state/closure-view.ts';
import {
  chanceWords,
  finishWords,
  formatPeriod,
  formatVolume,
  proofWords,
  quantityLines,
  scheduleSentence,
  zoneName,
} from '../../../../web/state/closure-words.ts';

const plain = (text: string) => text.replaceAll('\u00a0', ' ');

test('a period is told with its days and the name of the clock, also over a change of clocks', () => {
  // Daylight saving in the United States of 2026: 8 March, 02:00, to 1 November, 02:00 (15 U.S.C. 260a).
  expect(zoneName('2026-07-01T12:00', 'America/Denver')).toBe('MDT');
  expect(zoneName('2026-01-01T12:00', 'America/Denver')).toBe('MST');
  const night = { startsAt: '2026-08-03T23:00', endsAt: '2026-08-04T05:00' };
  expect(plain(formatPeriod(night, 'America/Denver'))).toBe('Mon 3 Aug 2026, 23:00–05:00 MDT');
  const change = { startsAt: '2026-10-31T23:00', endsAt: '2026-11-01T05:00' };
  expect(plain(formatPeriod(change, 'America/Denver'))).toBe('Sat 31 Oct 2026, 23:00 MDT–05:00 MST');
  const weekend = { startsAt: '2026-08-07T20:00', endsAt: '2026-08-10T05:00' };
  expect(plain(formatPeriod(weekend, 'Etc/UTC'))).toBe('Fri 7 Aug 2026, 20:00–Mon 10 Aug 2026, 05:00 UTC');
});

const scheduleOf = (lengthM: number, unplacedM: number): Schedule =>
  ({
    totals: { closures: 2, lengthM, unplacedM },
    closures: [
      { facilityId: 'A', startsAt: '2026-08-03T23:00', state: 'planned' },
      { facilityId: 'A', startsAt: '2026-08-09T23:00', state: 'done' },
      { facilityId: 'B', startsAt: '2026-09-09T23:00', state: 'lost' },
    ],
    unplaced: unplacedM > 0 ? [{ facilityId: 'C' }] : [],
  }) as unknown as Schedule;

test('the schedule is told in one sentence and one unit', () => {
  expect(plain(scheduleSentence(scheduleOf(750, 0), 'si'))).toBe(
    'All 750 m of joint are placed in 2 closures of 1 facility from 3 Aug 2026 to 9 Aug 2026.',
  );
  expect(plain(scheduleSentence(scheduleOf(9000, 3000), 'si'))).toBe(
    '9,000 m of 12,000 m of joint (75 %) are placed in 2 closures of 1 facility from 3 Aug 2026 to 9 Aug 2026. 3,000 m of 1 facility do not fit.',
  );
  const lost = scheduleOf(600, 0);
  expect(plain(scheduleSentence({ ...lost, totals: { ...lost.totals, leftM: 150 } }, 'si'))).toBe(
    '600 m of 750 m of joint (80 %) are placed in 2 closures of 1 facility from 3 Aug 2026 to 9 Aug 2026. 150 m were lost or left undone since it was made.',
  );
  // 304.8 m are 1,000 ft.
  expect(plain(scheduleSentence(scheduleOf(304.8, 0), 'us'))).toMatch(/^All 1,000 ft of joint/);
});

test('the proven distance is told for work and for cost', () => {
  expect(plain(proofWords({ workGapShare: 0, costGapShare: 0, ended: 'optimal', sentence: '' }))).toBe(
    'No schedule places more; none that places as much costs less',
  );
  expect(plain(proofWords({ workGapShare: 0.171, costGapShare: 0.02, ended: 'effort-spent', sentence: '' }))).toBe(
    'No schedule places over 17 % more; as much work could cost at most 2.0 % less',
  );
});

test('a chance that is not known is said in words', () => {
  const closure = { state: 'planned', finishChance: null, weatherChance: null } as Closure;
  expect(finishWords(closure)).toMatch(/no weather record/);
  expect(finishWords({ ...closure, weatherChance: 0.5 })).toMatch(/Not worked out/);
  expect(plain(finishWords({ ...closure, finishChance: 0.81 }))).toBe('81 %');
  expect(plain(finishWords({ ...closure, finishChance: 0.81, finishInterval: [0.74, 0.995] }))).toBe(
    '81 % (74 % to over 99 %)',
  );
  expect([0, 1].map((share) => plain(chanceWords(share)))).toEqual(['under 1 %', 'over 99 %']);
});

test('amounts are told in the units of the reader, and what is not known is not 0', () => {
  // 1 US gallon = 231 in³ = 3.785411784 L (NIST Handbook 44, appendix C).
  expect(plain(formatVolume(37.85411784, 'us'))).toBe('10.0 US gal');
  const lines = quantityLines(
    {
      sealant: [{ sealantClass: 'hot-applied-type-1', litres: null, metres: null }],
      rods: [{ diameterMm: null, metres: 30.48 }],
    },
    'us',
  );
  expect(lines.map(plain)).toEqual([
    'Hot-applied, type I: amount not known, since a width is missing on record',
    'Backer rod of a size to be measured: 100 ft',
  ]);
});

test('plan, part, closure and day are in the address, and those of another plan are left behind', () => {
  const params = writeClosureView(new URLSearchParams('units=us'), {
    planId: 'p1',
    part: 'schedule',
    closureUid: 'u@kerfcast',
    day: '2026-08-03',
  });
  expect(readClosureView(params)).toEqual({
    planId: 'p1',
    part: 'schedule',
    closureUid: 'u@kerfcast',
    day: '2026-08-03',
    facilityId: null,
  });
  const other = readClosureView(writeClosureView(params, { planId: 'p2' }));
  expect(other).toMatchObject({ planId: 'p2', closureUid: null, day: null });
  expect(readClosureView(new URLSearchParams('part=nothing&day=tomorrow'))).toMatchObject({ part: null, day: null });
});

test('without a plan in the address, the one with a schedule that changed last is opened at its schedule', () => {
  const schedule = { madeAt: '2026-01-01T00:00:00Z', current: false };
  const plans = [
    { id: 'a', changedAt: '2026-01-03', schedule: null },
    { id: 'b', changedAt: '2026-01-02', schedule },
    { id: 'c', changedAt: '2026-01-01', schedule },
  ];
  const chosen = chosenPlan(plans, { planId: null });
  expect(chosen?.id).toBe('b');
  expect(closurePartFor({ part: null }, chosen)).toBe('schedule');
  expect(closurePartFor({ part: null }, plans[0])).toBe('setup');
  expect(chosenPlan(plans, { planId: 'gone' })).toBeNull();
  expect(planState({ schedule }).state).toBe('stale');
});
