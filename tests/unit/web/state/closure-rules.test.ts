import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { ClosureRules } from '../../../../server/schemas/closure-rules.ts';
import { holidayPeaks } from '../../../../web/state/closure-holidays.ts';
import {
  draftRules,
  ownNumber,
  textAt,
  withOwnNumber,
  withoutRowAt,
  withRules,
  withText,
} from '../../../../web/state/closure-rules-draft.ts';
import { placeRulesProblems, rulesProblems } from '../../../../web/state/closure-rules-read.ts';
import {
  gateInUnits,
  hoursUntil,
  listed,
  rulesInWords,
  windowEnd,
  windowInWords,
} from '../../../../web/state/closure-rules-words.ts';
import { sampleRules } from '../../server/store/sample-closures.ts';

const [NIGHTS] = sampleRules().windows;
const [CREW] = sampleRules().crews;
const draft = (change: Partial<ClosureRules> = {}, units: 'si' | 'us' = 'si') => draftRules(sampleRules(change), units);

describe('numbers of the rules as typed', () => {
  test('a number that can be read is in the rules at once, and stays as it was typed', () => {
    const typed = withText(draft(), 'crews.0.teams.1.machines', ' 3 ');
    expect(typed.rules.crews[0].teams.map(({ machines }) => machines)).toEqual([2, 3, 1]);
    expect(textAt(typed, 'crews.0.teams.1.machines')).toBe(' 3 ');
    expect(rulesProblems(typed)).toEqual({});
  });

  test.each([
    ['noticeDays', '12.5', 'a whole number from 0 to 365 days'],
    ['leastChance', '130', 'a number from 0 to 100 %'],
    ['dryingHours', 'soon', 'a number from 0 to 240 hours'],
    ['crewsAtOnce', '', 'a whole number from 1 to 20 crews'],
    ['wastageFactor', '-5', 'a number from 0 to 100 %'],
    ['windows.0.mostShiftHours', '17', 'a number from 1 to 16 hours'],
  ])('%s: %j is told with what is allowed, and the rules keep the last good number', (place, text, allowed) => {
    const typed = withText(draft(), place, text);
    expect(rulesProblems(typed)).toEqual({ [place]: `Give ${allowed}.` });
    expect(typed.rules).toEqual(sampleRules());
  });

  test('shares are typed in per cent; 20 % of waste is a factor of 1.2; an empty reserve is none', () => {
    let typed = withText(draft({ wastageFactor: 1 }), 'wastageFactor', '20');
    typed = withText(typed, 'leastChance', '45');
    typed = withText(typed, 'crews.0.paceFactor', '80');
    typed = withText(typed, 'closuresPerReserve', '');
    expect(typed.rules).toMatchObject({ wastageFactor: 1.2, leastChance: 0.45, closuresPerReserve: null });
    expect(typed.rules.crews[0].paceFactor).toBe(0.8);
    expect(rulesProblems(typed)).toEqual({});
  });

  test('what was typed in a row moves with it when a row before it is taken out', () => {
    const crews = [CREW, { ...CREW, id: 'b' }, { ...CREW, id: 'c' }];
    const typed = withText(withText(draft({ crews }), 'crews.0.paceFactor', 'a'), 'crews.2.teams.0.machines', 'x');
    const left = withoutRowAt(typed, 'crews', 0);
    expect(left.rules.crews.map(({ id }) => id)).toEqual(['b', 'c']);
    expect(left.texts).toEqual({ 'crews.1.teams.0.machines': 'x' });
  });
});

describe('rates and times that differ from their defaults', () => {
  const saw = { list: 'rates', key: 'saw-faces', usual: 105 } as const;
  test('a rate in feet is stored in metres: the foot is 0.3048 m exactly', () => {
    const typed = withOwnNumber(draft({}, 'us'), saw, '1,000');
    expect(typed.rules.rates).toEqual([{ operation: 'saw-faces', metresPerHour: expect.closeTo(304.8, 9) }]);
  });
  test('back at the default, or emptied, it is the default again', () => {
    const own = withOwnNumber(draft(), saw, '90');
    expect(ownNumber(own.rules, 'rates', 'saw-faces')).toBe(90);
    for (const text of ['105', '']) expect(withOwnNumber(own, saw, text).rules.rates).toEqual([]);
  });
  test('a rate of 0 is refused', () => {
    expect(rulesProblems(withOwnNumber(draft(), saw, '0'))).toEqual({
      'rates.saw-faces': 'Give a rate above 0 in m an hour, up to 10,000.',
    });
  });
  test('a time to opening', () => {
    const typed = withOwnNumber(draft(), { list: 'openingMinutes', key: 'polysulfide', usual: 240 }, '300');
    expect(typed.rules.openingMinutes).toEqual([{ sealantClass: 'polysulfide', minutes: 300 }]);
  });
});

test.each<[string, Partial<ClosureRules>, string]>([
  ['a window without a day', { windows: [{ ...NIGHTS, weekdays: [] }] }, 'windows.0.weekdays'],
  ['a window that ends before it starts', { windows: [{ ...NIGHTS, lengthHours: -2 }] }, 'windows.0.lengthHours'],
  ['a season that ends first', { windows: [{ ...NIGHTS, to: '2027-01-01' }] }, 'windows.0.to'],
  ['a window without a name', { windows: [{ ...NIGHTS, name: ' ' }] }, 'windows.0.name'],
  ['barred days without a day', { barred: [{ name: 'Fair', facilityId: null, from: '', to: '' }] }, 'barred.0.from'],
  ['a pair without a reason', { exclusions: [{ facilityIds: ['A', 'B'], reason: '' }] }, 'exclusions.0.reason'],
  ['a crew without sealant', { crews: [{ ...CREW, families: [] }] }, 'crews.0.families'],
  ['an operation that nobody does', { crews: [{ ...CREW, teams: CREW.teams.slice(0, 2) }] }, 'crews'],
  ['a latest day before the earliest', { earliestOn: '2027-05-02', latestOn: '2027-05-01' }, 'latestOn'],
])('%s is told at its field', (_, change, place) => {
  expect(Object.keys(rulesProblems(draft(change)))).toEqual([place]);
});

test('the server’s refusals stand at the fields that they are about', () => {
  const rules = sampleRules({ rates: [{ operation: 'saw-faces', metresPerHour: 90 }] });
  const refused = (field: string) => ({ field, found: 'x', expected: 'y' });
  const told = placeRulesProblems(
    ['body.rules.windows.0.to', 'body.rules.rates.0.metresPerHour', 'body.rules.timeZone', 'body.note'].map(refused),
    rules,
  );
  expect(Object.keys(told.problems)).toEqual(['windows.0.to', 'rates.saw-faces', 'timeZone']);
  expect(told.others).toEqual(['body.note is x; expected y.']);
});

describe('windows in words', () => {
  test.each<[Partial<typeof NIGHTS>, string]>([
    [{}, 'every night from 23:00 to 05:00, from 1 May 2027 to 30 Jun 2027'],
    [{ from: '2027-01-01', to: '2027-12-31' }, 'every night from 23:00 to 05:00'],
    [
      { weekdays: ['monday', 'tuesday', 'wednesday'], from: '2027-01-01', to: '2027-12-31' },
      'on the nights of Monday to Wednesday from 23:00 to 05:00',
    ],
    [
      { weekdays: ['friday'], startsAt: '22:00', lengthHours: 55, from: '2027-01-01', to: '2027-12-31' },
      'Friday from 22:00 to 05:00 3 days later',
    ],
    [
      { weekdays: ['saturday', 'sunday'], startsAt: '08:00', lengthHours: 8, from: '2027-01-01', to: '2027-12-31' },
      'on Saturday and Sunday from 08:00 to 16:00',
    ],
  ])('%j', (change, words) => expect(windowInWords({ ...NIGHTS, ...change }, 2027)).toBe(words));

  test('the end of a window and its length say the same, for any start and any whole minutes', () => {
    const minutes = fc.integer({ min: 1, max: 28 * 1440 });
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 1439 }), minutes, (start, length) => {
        const two = (value: number) => String(value).padStart(2, '0');
        const startsAt = `${two(Math.floor(start / 60))}:${two(start % 60)}`;
        const end = windowEnd({ startsAt, lengthHours: length / 60 });
        expect(hoursUntil(startsAt, end)).toBeCloseTo(length / 60, 9);
      }),
      { seed: 1 },
    );
  });
});

test('the rules in words name windows, pairs, notice, crews, limits in the reader’s unit, and reserve', () => {
  const rules = sampleRules({
    exclusions: [{ facilityIds: ['A', 'B'], reason: 'One stays open.' }],
    barred: [{ name: 'Fair', facilityId: null, from: '2027-05-20', to: '2027-05-22' }],
    windows: [{ ...NIGHTS, facilityKinds: ['runway'] }],
  });
  const gate = 'Air 4.4 °C (40 °F) or more, no rain';
  const words = rulesInWords(rules, { nameOf: (id) => `Runway ${id}`, gate, units: 'us' }).join(' ');
  for (const part of [
    'Runways close every night from 23:00 to 05:00, from 1 May 2027 to 30 Jun 2027.',
    'Never closed together: Runway A with Runway B.',
    'Nothing closes on barred days: Fair.',
    'The first closure is 28 days after the planning date at the earliest.',
    'Crew 1 (silicone and hot-applied)',
    'Sealing needs air 40 °F or more, no rain.',
    'One window is kept in reserve for every 4 closures.',
  ])
    expect(words).toContain(part);
});

test('directions and lanes are said of roads only, and only where they close by them', () => {
  const wordsOf = (parts: ClosureRules['parts'], roads: boolean) =>
    rulesInWords(sampleRules({ ...(parts && { parts }) }), { nameOf: (id) => id, gate: '', units: 'si', roads }).join(
      ' ',
    );
  const parts = { closeBy: 'lane', directionsTogether: false, lanesTogether: true, acrossByHalves: true } as const;
  expect(wordsOf(parts, true)).toContain(
    'Roads whose segments tell it close only in the lanes that the work needs: the other direction stays open, different lanes of one may too and transverse joints across both are done half by half.',
  );
  for (const words of [
    wordsOf(parts, false),
    wordsOf(undefined, true),
    wordsOf({ ...parts, closeBy: 'facility' }, true),
  ])
    expect(words).not.toContain('Roads');
});

test('a window of one direction says so', () => {
  const windows = [{ ...NIGHTS, facilityKinds: ['highway' as const], directions: ['northbound' as const] }];
  const words = rulesInWords(sampleRules({ windows }), { nameOf: (id) => id, gate: '', units: 'si' }).join(' ');
  expect(words).toContain('Highways (roads: northbound only) close every night from 23:00 to 05:00');
});

test('a gate is said in one unit', () => {
  expect(gateInUnits('Air above 4.4 °C (40 °F), no rain', 'si')).toBe('Air above 4.4 °C, no rain');
  expect(gateInUnits('Air 4.4 °C (40 °F) or more, pavement 4.4 °C (40 °F) or more', 'us')).toBe(
    'Air 40 °F or more, pavement 40 °F or more',
  );
});

test('long lists are counted, not read out', () => {
  expect(listed(['a'])).toBe('a');
  expect(listed(['a', 'b', 'c'])).toBe('a, b and c');
  expect(listed(['a', 'b', 'c', 'd', 'e', 'f'])).toBe('a, b, c, d and 2 more');
});

test('holiday peaks hold the federal holidays of their year', () => {
  // 5 U.S.C. 6103: last Monday of May, first Monday of September, fourth Thursday of November. By hand from the weekday of
  // 1 January: 2027 begins on a Friday, 2028 on a Saturday and is a leap year.
  const within = (year: number, name: string, day: string) => {
    const peak = holidayPeaks(year).find((each) => each.name === name);
    expect(peak && peak.from <= day && day <= peak.to, `${name} ${day}`).toBe(true);
  };
  for (const [name, day] of [
    ['Memorial Day weekend', '2027-05-31'],
    ['Independence Day', '2027-07-04'],
    ['Labor Day weekend', '2027-09-06'],
    ['Thanksgiving', '2027-11-25'],
    ['Christmas and year end', '2027-12-25'],
    ['New Year', '2027-01-01'],
  ])
    within(2027, name, day);
  within(2028, 'Memorial Day weekend', '2028-05-29');
  within(2028, 'Labor Day weekend', '2028-09-04');
  within(2028, 'Thanksgiving', '2028-11-23');
});

test('a change of rules leaves the other rules and what was typed', () => {
  const typed = withText(draft(), 'noticeDays', '7');
  const next = withRules(typed, { gateProfile: 'airport-50f' });
  expect(next).toEqual({ ...typed, rules: { ...typed.rules, gateProfile: 'airport-50f' } });
});
