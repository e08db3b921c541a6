import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  daysBetween,
  installationDay,
  OBSERVATION_RULES,
  type ObservedInspection,
  type ObservedSeal,
  observeSegment,
  type ReadingRules,
} from '../../../../analytics/survival/observation.ts';
import { isoDay } from '../../../../analytics/survival/observation-dates.ts';
import { tallyObservations } from '../../../../analytics/survival/observation-tally.ts';

const RULES: ReadingRules = {
  failureThresholdShare: 0.1,
  inspectionMethod: 'joint-length',
  recordsFrom: null,
  today: '2025-06-30',
};
const seal = (fields: Partial<ObservedSeal> = {}): ObservedSeal => ({
  id: 'S1',
  installedFrom: '2010-05-01',
  installedTo: '2010-05-01',
  removedOn: null,
  removalReason: null,
  ...fields,
});
const look = (inspectedOn: string, damagedShare: number, method = 'joint-length'): ObservedInspection => ({
  inspectedOn,
  method,
  damagedShare,
});
const observe = (
  seals: readonly ObservedSeal[],
  inspections: readonly ObservedInspection[],
  rules: Partial<ReadingRules> = {},
  unsealedByPolicy = false,
) => observeSegment({ segmentId: 'J-7', unsealedByPolicy, seals, inspections }, { ...RULES, ...rules });
/** With the sentence of each seal in place of what makes it. */
const told = (read: ReturnType<typeof observe>) => ({
  ...read,
  seals: read.seals.map((one) => ({ ...one, note: one.note() })),
});
const first = (...args: Parameters<typeof observe>) => observe(...args).seals[0];
const days = (iso: string) => daysBetween('2010-05-01', iso);

describe('each row of the observation table', () => {
  test('sound at a, first failed at b: the failure lies in (a, b]', () => {
    const read = first([seal()], [look('2018-04-02', 0.3), look('2014-04-02', 0), look('2016-04-02', 0.05)]);
    expect(read.rule).toBe('sound-then-failed');
    expect(read.observation).toEqual({ entryDays: 0, lowerDays: days('2016-04-02'), upperDays: days('2018-04-02') });
    expect(read.knownFailed).toBe(true);
    expect(read.lastSound).toEqual({ onDay: '2016-04-02', ageDays: days('2016-04-02'), share: 0.05 });
    expect(read.foundFailed?.onDay).toBe('2018-04-02');
  });

  test('failed at its first inspection: the failure lies in (entry, b]', () => {
    const read = first([seal()], [look('2018-04-02', 0.1)]);
    expect(read.rule).toBe('failed-at-first-look');
    expect(read.observation).toEqual({ entryDays: 0, lowerDays: 0, upperDays: days('2018-04-02') });
  });

  test('sound at every inspection: followed to the last one, not to today', () => {
    const read = first([seal()], [look('2014-04-02', 0), look('2019-04-02', 0.09)]);
    expect(read.rule).toBe('still-sound');
    expect(read.observation).toEqual({
      entryDays: 0,
      lowerDays: days('2019-04-02'),
      upperDays: Number.POSITIVE_INFINITY,
    });
    expect(read.lastShare?.share).toBe(0.09);
    expect(read.inPlace).toBe(true);
  });

  test('never inspected and in place: no information', () => {
    expect(first([seal()], [])).toMatchObject({ rule: 'never-inspected', observation: null, lastSound: null });
  });

  test('removed as failed with no failed inspection: (last sound age, removal age]', () => {
    const removed = seal({ removedOn: '2021-09-01', removalReason: 'failed' });
    const read = first([removed], [look('2017-04-02', 0)]);
    expect(read.rule).toBe('removed-failed');
    expect(read.observation).toEqual({ entryDays: 0, lowerDays: days('2017-04-02'), upperDays: days('2021-09-01') });
    expect(first([removed], []).observation?.lowerDays).toBe(0);
  });

  test.each(['preventive', 'pavement-work'] as const)('removed as %s: censored at the last sound look', (reason) => {
    const removed = seal({ removedOn: '2021-09-01', removalReason: reason });
    const read = first([removed], [look('2017-04-02', 0)]);
    expect(read.rule).toBe('removed-sound');
    expect(read.observation).toEqual({
      entryDays: 0,
      lowerDays: days('2017-04-02'),
      upperDays: Number.POSITIVE_INFINITY,
    });
    const lookedAt = first([removed], [look('2017-04-02', 0), look('2021-09-01', 0.02)]);
    expect(lookedAt.observation?.lowerDays).toBe(days('2021-09-01'));
  });

  test('removed, reason unknown: censored at the last sound look and counted', () => {
    const read = first([seal({ removedOn: '2021-09-01' })], [look('2017-04-02', 0)]);
    expect(read).toMatchObject({ rule: 'removed-unknown', inPlace: false });
    expect(read.observation).toMatchObject({ lowerDays: days('2017-04-02'), upperDays: Number.POSITIVE_INFINITY });
  });

  test('failed, later sound, no reseal: reported by name, left out unless a later record confirms', () => {
    const looks = [look('2014-04-02', 0), look('2016-04-02', 0.4), look('2018-04-02', 0)];
    const left = first([seal()], looks);
    expect(left).toMatchObject({ rule: 'contradictory-left-out', observation: null, knownFailed: false });
    expect(left.note()).toContain('J-7');
    expect(left.lastSound?.onDay).toBe('2018-04-02');
    const kept = first([seal()], [...looks, look('2020-04-02', 0.5)]);
    expect(kept).toMatchObject({ rule: 'contradictory-kept', knownFailed: true });
    expect(kept.observation).toEqual({ entryDays: 0, lowerDays: days('2014-04-02'), upperDays: days('2016-04-02') });
  });

  test('records that began later: entry is the age at which they began', () => {
    const rules = { recordsFrom: '2015-05-01' };
    const entry = days('2015-05-01');
    const failed = first([seal()], [look('2018-04-02', 0.5)], rules);
    expect(failed.observation).toEqual({ entryDays: entry, lowerDays: entry, upperDays: days('2018-04-02') });
    expect(failed.marks).toContain('delayed-entry');
    const sound = first([seal()], [look('2018-04-02', 0)], rules);
    expect(sound.observation).toMatchObject({ entryDays: entry, lowerDays: days('2018-04-02') });
    const early = first([seal({ removedOn: '2014-01-01', removalReason: 'failed' })], [], rules);
    expect(early).toMatchObject({ rule: 'before-records', observation: null });
    expect(first([seal({ installedFrom: '2016-01-01', installedTo: '2016-01-01' })], [], rules).marks).toEqual([]);
  });

  test('installation known to a year: lower from its last day, upper from its first', () => {
    const vague = seal({ installedFrom: '2010-01-01', installedTo: '2010-12-31' });
    const read = first([vague], [look('2014-04-02', 0), look('2016-04-02', 0.4)]);
    expect(read.observation).toEqual({
      entryDays: 0,
      lowerDays: daysBetween('2010-12-31', '2014-04-02'),
      upperDays: daysBetween('2010-01-01', '2016-04-02'),
    });
    expect(read.marks).toEqual(['imprecise-installation']);
    expect(installationDay(vague)).toBe('2010-07-02');
    expect(read.lastSound?.ageDays).toBe(daysBetween('2010-07-02', '2014-04-02'));
  });

  test('a look inside the range shows that the seal was there by then', () => {
    const vague = seal({ installedFrom: '2010-01-01', installedTo: '2010-12-31' });
    const read = first([vague], [look('2010-05-01', 0), look('2016-04-02', 0)]);
    expect(read.observation?.lowerDays).toBe(daysBetween('2010-05-01', '2016-04-02'));
    // Ages on screen count from the middle of the range as recorded, whatever the looks say.
    expect(read.looks.map((one) => one.ageDays)).toEqual([0, daysBetween(installationDay(vague), '2016-04-02')]);
  });

  test.each([
    ['removed before it was installed', seal({ removedOn: '2009-05-01', removalReason: 'failed' }), []],
    ['older than 60 years', seal({ installedFrom: '1950-01-01', installedTo: '1950-01-01' }), [look('2015-01-01', 0)]],
    ['installation range that runs backwards', seal({ installedTo: '2009-01-01' }), []],
    ['a reason of removal without a day', seal({ removalReason: 'failed' }), []],
    ['installed after today', seal({ installedFrom: '2026-01-01', installedTo: '2026-01-01' }), []],
    ['failed on the day of installation', seal(), [look('2010-05-01', 0.5)]],
  ])('%s is left out', (_, oneSeal, looks) => {
    expect(first([oneSeal], looks)).toMatchObject({ rule: 'impossible-records', observation: null });
  });

  test('a look before any seal, or with a damaged share outside 0 to 1, is counted and not used', () => {
    const read = observe([seal()], [look('2009-05-01', 0), look('2015-01-01', 1.2), look('2016-01-01', Number.NaN)]);
    expect(read).toMatchObject({ strayInspections: 1, impossibleInspections: 2 });
    expect(read.seals[0].rule).toBe('never-inspected');
  });
});

describe('several records of one segment', () => {
  const two = [seal({ id: 'A' }), seal({ id: 'B', installedFrom: '2018-06-01', installedTo: '2018-06-01' })];

  test('looks go to the seal that was in place', () => {
    const [a, b] = observe(two, [look('2016-04-02', 0), look('2022-04-02', 0.01)]).seals;
    expect(a).toMatchObject({ rule: 'removed-unknown', inPlace: false });
    expect(a.marks).toEqual(['implied-removal']);
    expect(b.observation?.lowerDays).toBe(daysBetween('2018-06-01', '2022-04-02'));
  });

  test('on the day of resealing a failed look is of the old seal, a sound one the acceptance of the new', () => {
    expect(observe(two, [look('2018-06-01', 0.5)]).seals[0].rule).toBe('failed-at-first-look');
    const accepted = observe(two, [look('2018-06-01', 0)]).seals;
    expect(accepted.map((read) => read.rule)).toEqual(['no-information', 'no-information']);
  });

  test('a look inside the range in which the new seal was installed is of neither', () => {
    const vague = [two[0], seal({ id: 'B', installedFrom: '2018-01-01', installedTo: '2018-12-31' })];
    const read = observe(vague, [look('2018-05-01', 0)]);
    expect(read.strayInspections).toBe(1);
    expect(read.seals[1].rule).toBe('never-inspected');
  });

  test('two methods are never merged', () => {
    const read = observe([seal()], [look('2015-01-01', 0, 'sample-unit'), look('2016-01-01', 0)]);
    expect(read.otherMethod).toBe(1);
    expect(read.seals[0].looks).toHaveLength(1);
  });

  test('unsealed by policy is a state, not a failure', () => {
    expect(first([seal()], [look('2016-01-01', 1)], {}, true)).toMatchObject({
      rule: 'unsealed-by-policy',
      observation: null,
    });
  });

  test('records after today are not used', () => {
    expect(first([seal()], [look('2026-01-01', 0.9)]).rule).toBe('never-inspected');
  });

  test('the tally names every rule, and every seal once', () => {
    const network = [observe(two, [look('2016-04-02', 0)]), observe([seal()], [])];
    const tally = tallyObservations(network);
    expect(tally.map((row) => row.rule)).toEqual(Object.keys(OBSERVATION_RULES));
    const readings = tally.filter((row) => OBSERVATION_RULES[row.rule].kind === 'reading');
    expect(readings.reduce((sum, row) => sum + row.seals, 0)).toBe(3);
    expect(tally.find((row) => row.rule === 'removed-unknown')).toMatchObject({ seals: 1, examples: ['J-7'] });
  });
});

describe('laws', () => {
  const day = fc.integer({ min: 12_000, max: 20_000 });
  const sealRecord = fc.record({
    id: fc.constant('S'),
    from: day,
    range: fc.integer({ min: 0, max: 400 }),
    life: fc.option(fc.integer({ min: 0, max: 6000 })),
    removalReason: fc.constantFrom('failed' as const, 'preventive' as const, 'unknown' as const, null),
  });
  const records = fc.record({
    seals: fc.array(sealRecord, { maxLength: 3 }).map((list) =>
      [...list]
        .sort((a, b) => a.from - b.from)
        .map((s) => ({
          id: s.id,
          installedFrom: isoDay(s.from),
          installedTo: isoDay(s.from + s.range),
          removedOn: s.life === null ? null : isoDay(s.from + s.life),
          removalReason: s.removalReason,
        })),
    ),
    inspections: fc.array(
      fc.record({
        inspectedOn: day.map(isoDay),
        method: fc.constantFrom('joint-length', 'agency'),
        damagedShare: fc.double({ min: -0.1, max: 1.1 }),
      }),
      { maxLength: 8 },
    ),
    recordsFrom: fc.option(day.map(isoDay)),
  });

  test('bounds are whole days with 0 <= entry <= lower < upper, and only used rules have them', () => {
    fc.assert(
      fc.property(records, ({ recordsFrom, ...rest }) => {
        const read = observe(rest.seals, rest.inspections, { recordsFrom });
        for (const { observation, rule, knownFailed, inPlace, looks } of read.seals) {
          expect(OBSERVATION_RULES[rule].used).toBe(observation !== null);
          if (knownFailed) expect(inPlace).toBe(true);
          expect(looks.every((one) => one.ageDays >= 0)).toBe(true);
          if (!observation) continue;
          const { entryDays, lowerDays, upperDays } = observation;
          expect(entryDays).toBeGreaterThanOrEqual(0);
          expect(lowerDays).toBeGreaterThanOrEqual(entryDays);
          expect(upperDays).toBeGreaterThan(lowerDays);
          if (upperDays === Number.POSITIVE_INFINITY) expect(lowerDays).toBeGreaterThan(entryDays);
          expect(Number.isInteger(lowerDays)).toBe(true);
        }
      }),
      { seed: 1, numRuns: 500 },
    );
  });

  test('the order of inspections does not matter, and each of them is accounted for', () => {
    fc.assert(
      fc.property(records, ({ recordsFrom, ...rest }) => {
        const forward = observe(rest.seals, rest.inspections, { recordsFrom });
        const backward = observe(rest.seals, [...rest.inspections].reverse(), { recordsFrom });
        expect(told(backward)).toEqual(told(forward));
        const seen = forward.seals.reduce((sum, one) => sum + one.looks.length, 0);
        const counted = seen + forward.otherMethod + forward.strayInspections + forward.impossibleInspections;
        expect(counted).toBeLessThanOrEqual(rest.inspections.length);
      }),
      { seed: 2, numRuns: 300 },
    );
  });
});
