import { type ClosureRules, WEEKDAYS } from '../../../../server/schemas/closure-rules.ts';
import type { Closure, ScheduleHead } from '../../../../server/schemas/closures.ts';
import type { StoredClosure, StoredSchedule } from '../../../../server/store/closure-store.ts';

export const sampleRules = (change: Partial<ClosureRules> = {}): ClosureRules => ({
  ...{ scenarioId: 's', year: 2027, facilityIds: [], timeZone: 'America/Chicago', exclusions: [], safetyAreas: [] },
  windows: [
    {
      ...{ name: 'Nights', facilityIds: [], facilityKinds: [], weekdays: [...WEEKDAYS], startsAt: '23:00' },
      ...{ lengthHours: 6, from: '2027-05-01', to: '2027-06-30', mostShiftHours: 10, shiftStartsAt: null },
    },
  ],
  ...{ barred: [], noticeDays: 28, earliestOn: null, latestOn: null },
  crews: [
    {
      ...{ id: 'crew-1', name: 'Crew 1', families: ['silicone', 'hot-applied'], paceFactor: 1, away: [] },
      teams: [
        { operations: ['remove-old-seal', 'saw-faces', 'wash'], machines: 2 },
        { operations: ['abrasive-blast', 'blow-out'], machines: 1 },
        { operations: ['place-rod', 'seal', 'inspect'], machines: 1 },
      ],
    },
  ],
  ...{ rates: [], openingMinutes: [], setUpMinutes: 30, clearAwayMinutes: 30, washAfterSawing: false },
  ...{ dryingHours: 12, openJoints: 'same-closure', gateProfile: 'state-40f', leastChance: 0.3, wastageFactor: 1.2 },
  ...{ closuresPerReserve: 4, crewsAtOnce: 1 },
  ...change,
});

/** A night's work of 100 m on one segment, 13 mm wide. */
export const sampleClosure = (change: Partial<Closure> = {}): Closure => ({
  ...{ id: 'F0@2027-05-03T2300+360', uid: 'uid-1', sequence: 0 },
  ...{ facilityId: 'F0', facilityName: 'Runway A', facilityKind: 'runway', district: 'North' },
  ...{ startsAt: '2027-05-03T23:00', endsAt: '2027-05-04T05:00', opensAt: '2027-05-04T02:30', reserve: null },
  ...{ state: 'planned', locked: false, byHand: false, closedFor: [] },
  works: [
    {
      ...{ segmentId: 'S1', fromM: 0, toM: 100, lengthM: 100, pass: 'reseal', crewId: 'crew-1', widthMm: 13 },
      ...{ sealantClass: 'silicone-self-levelling', sealantClassInPlace: 'hot-applied' },
      ...{ startsAt: '2027-05-03T23:30', endsAt: '2027-05-04T01:30' },
    },
  ],
  operations: [
    { kind: 'saw-faces', how: 'Saw both faces back to clean concrete', hours: 0.5 },
    { kind: 'open', how: 'Wait until the seal will not pick up, sweep, and open', hours: null },
  ],
  ...{ crews: ['crew-1'], lengthM: 100, doneM: null },
  sealant: [{ sealantClass: 'silicone-self-levelling', litres: 10.14, metres: null }],
  rods: [{ diameterMm: 19.05, metres: 105 }],
  ...{ crewHours: 9, weatherChance: 0.7, finishChance: 0.65, conflicts: [], note: '' },
  ...change,
});

export const storedClosure = (change: Partial<Closure> = {}, cancelled = false): StoredClosure => ({
  ...{ closure: sampleClosure(change), cancelled, changedAt: '2026-11-26T10:00:00.000Z' },
});

export const sampleHead = (planId: string): ScheduleHead => ({
  ...{ planId, planName: 'Nights of May', planRevision: 1, scenarioName: 'Plan', year: 2027 },
  ...{ timeZone: 'America/Chicago', madeAt: '2026-11-26T10:00:00.000Z', sentence: 'One closure.' },
  ...{ unplaced: [], refused: [] },
  totals: {
    ...{ closures: 1, crewShifts: 1, lengthM: 100, unplacedM: 0, litres: 10.14, rodM: 105, crewHours: 9 },
    ...{ finishChance: 0.65, finishedShare: null },
  },
  proof: { workGapShare: 0, costGapShare: 0, ended: 'optimal', sentence: 'No schedule places more.' },
  ...{ workable: [], gateProfile: 'state-40f', assumptions: ['One'], cautions: ['Two'] },
});

export const sampleSchedule = (planId: string, closures: readonly StoredClosure[]): StoredSchedule => ({
  ...{ madeAt: '2026-11-26T10:00:00.000Z', rulesRevision: 1, madeFrom: 'as it was' },
  ...{ head: sampleHead(planId), closures },
});
