import ICAL from 'ical.js';
import { expect, test } from 'vitest';
import { closureCalendar } from '../../../../server/exports/closure-calendar.ts';
import type { StoredClosure } from '../../../../server/store/closure-store.ts';
import { sampleClosure, storedClosure } from '../store/sample-closures.ts';

const calendarOf = (closures: readonly StoredClosure[], timeZone = 'America/Chicago') =>
  closureCalendar({ name: 'Nights of May', timeZone, closures, units: 'si' });

function parsed(text: string) {
  const root = new ICAL.Component(ICAL.parse(text));
  const zone = new ICAL.Timezone(root.getFirstSubcomponent('vtimezone') as ICAL.Component);
  const events = root.getAllSubcomponents('vevent').map((component) => {
    const event = new ICAL.Event(component);
    const utc = (time: ICAL.Time) => {
      time.zone = zone;
      return time.convertToZone(ICAL.Timezone.utcTimezone).toString();
    };
    return { component, event, startUtc: utc(event.startDate), endUtc: utc(event.endDate) };
  });
  return { root, zone, events };
}

test('an independent reader finds every property that RFC 5545 requires', () => {
  const { root, events } = parsed(calendarOf([storedClosure()]));
  // Sections 3.6 (PRODID, VERSION), 3.6.1 (UID, DTSTAMP, DTSTART) and 3.6.5 (TZID and an observance with its three).
  expect(root.getFirstPropertyValue('version')).toBe('2.0');
  expect(String(root.getFirstPropertyValue('prodid'))).toMatch(/^-\/\/Kerfcast\/\//);
  const zone = root.getFirstSubcomponent('vtimezone');
  expect(zone?.getFirstPropertyValue('tzid')).toBe('America/Chicago');
  for (const kind of ['standard', 'daylight'])
    for (const name of ['dtstart', 'tzoffsetfrom', 'tzoffsetto'])
      expect([kind, name, zone?.getFirstSubcomponent(kind)?.hasProperty(name)]).toEqual([kind, name, true]);
  const [{ component, event }] = events;
  expect([event.uid, event.sequence, event.summary]).toEqual(['uid-1', 0, 'Runway A closed: joint resealing']);
  expect(component.getFirstProperty('dtstart')?.getParameter('tzid')).toBe('America/Chicago');
  expect(String(component.getFirstPropertyValue('dtstamp'))).toBe('2026-11-26T10:00:00Z');
  expect(event.description).toContain('- S1: 100 m, silicone-self-levelling');
  expect(event.description).toContain('Backer rod: 105 m, 19.1 mm in diameter');
  expect(event.description).toMatch(/operator's own procedure and the authority's notice govern\.$/);
});

test('an event says its chance with the interval, and which direction and lanes close', () => {
  const part = {
    id: 'F0|northbound',
    name: 'northbound, lanes 1 and 2',
    direction: 'northbound',
    lanes: [1, 2],
  } as const;
  const [work] = sampleClosure().works;
  const works = [{ ...work, direction: 'northbound' as const, firstLane: 1, lastLane: 2 }];
  const laned = storedClosure({ part: { ...part, lanes: [1, 2] }, works, finishInterval: [0.58, 0.71] });
  const [{ event }] = parsed(calendarOf([laned])).events;
  expect(event.summary).toBe('Runway A, northbound, lanes 1 and 2 closed: joint resealing');
  expect(event.description).toContain('- S1: 100 m, silicone-self-levelling, northbound, lanes 1 and 2');
  expect(event.description).toContain('finishes in the window: 65 % (58 % to 71 %, eight in ten).');
});

test('a night over the change of the clock lasts as long as it does on the ground', () => {
  // Energy Policy Act of 2005: clocks go forward on the second Sunday of March (14 March 2027) and back on the first of
  // November (7 November 2027), at 02:00. 23:00 to 05:00 is 5 h in March and 7 h in November.
  const night = (uid: string, day: string, next: string) =>
    storedClosure({ uid, id: uid, startsAt: `${day}T23:00`, endsAt: `${next}T05:00` });
  const text = calendarOf([
    night('spring', '2027-03-13', '2027-03-14'),
    night('autumn', '2027-11-06', '2027-11-07'),
    night('summer', '2027-07-01', '2027-07-02'),
  ]);
  const { events } = parsed(text);
  expect(events.map(({ startUtc, endUtc }) => [startUtc, endUtc])).toEqual([
    ['2027-03-14T05:00:00Z', '2027-03-14T10:00:00Z'],
    ['2027-11-07T04:00:00Z', '2027-11-07T11:00:00Z'],
    ['2027-07-02T04:00:00Z', '2027-07-02T10:00:00Z'],
  ]);
  expect(text).toContain('DTSTART;TZID=America/Chicago:20270313T230000');
});

test('the clock of this computer has no part in it', () => {
  const before = process.env.TZ;
  const texts = ['UTC', 'Asia/Kolkata', 'America/Los_Angeles'].map((zone) => {
    process.env.TZ = zone;
    return calendarOf([storedClosure({ startsAt: '2027-03-14T02:30', endsAt: '2027-03-14T06:00' })]);
  });
  if (before === undefined) delete process.env.TZ;
  else process.env.TZ = before;
  expect(new Set(texts).size).toBe(1);
  expect(texts[0]).toContain(':20270314T023000');
});

test('what was cancelled or lost says so; what is locked is confirmed, what is not is tentative', () => {
  const states = [
    storedClosure({ uid: 'a' }),
    storedClosure({ uid: 'b', locked: true }),
    storedClosure({ uid: 'c', state: 'done' }),
    storedClosure({ uid: 'd', state: 'lost' }),
    storedClosure({ uid: 'e' }, true),
  ];
  const { events } = parsed(calendarOf(states));
  expect(events.map(({ component }) => component.getFirstPropertyValue('status'))).toEqual([
    ...['TENTATIVE', 'CONFIRMED', 'CONFIRMED', 'CANCELLED', 'CANCELLED'],
  ]);
});

test('no line is longer than 75 octets, and long or odd text comes back whole', () => {
  const note = `Ünïcødé; commas, semicolons; back\\slash ${'é'.repeat(120)} 🛬🛬🛬 end`;
  const works = Array.from({ length: 80 }, (_, i) => ({ ...sampleClosure().works[0], segmentId: `RW-09L-${i}` }));
  const text = calendarOf([storedClosure({ note, works, facilityName: 'Runway "09L/27R", north; old' })]);
  // Section 3.1: lines of at most 75 octets without the break, which is CRLF.
  for (const line of text.split('\r\n')) expect(Buffer.byteLength(line)).toBeLessThanOrEqual(75);
  expect(text.replaceAll('\r\n', '')).not.toMatch(/[\r\n]/);
  const [{ event }] = parsed(text).events;
  expect(event.description).toContain(note);
  expect(event.description).toContain('- and 20 more');
  expect(event.summary).toBe('Runway "09L/27R", north; old closed: joint resealing');
});

test('a zone without daylight saving is told of too, and an unknown one is refused', () => {
  const { events } = parsed(calendarOf([storedClosure()], 'Asia/Kolkata'));
  expect(events[0].startUtc).toBe('2027-05-03T17:30:00Z'); // UTC+05:30 all year
  expect(() => calendarOf([storedClosure()], 'Mars/Base')).toThrow(/Time zone is Mars\/Base/);
});
