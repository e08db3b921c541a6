import {
  type Exclusion,
  type PackingProblem,
  type PlanFacility,
  USUAL_RULES,
} from '../../../../analytics/closures/closure-plan.ts';
import { closureWindows } from '../../../../analytics/closures/closure-windows.ts';
import { type CrewMakeUp, USUAL_TEAMS } from '../../../../analytics/closures/crew-pace.ts';
import { type ResealJob, USUAL_WORK, workBlocks } from '../../../../analytics/closures/work-blocks.ts';
import { seededRandom } from '../../../../analytics/numeric/seeded-normals.ts';
import { dayNumber } from '../../../../analytics/survival/observation-dates.ts';

export interface AirportSize {
  readonly runways: number;
  readonly taxiways: number;
  readonly aprons: number;
  readonly segments: number;
  readonly nights: number;
  readonly crews: number;
  /** Work over what all crews could do in all nights. */ readonly load: number;
  /** Half of the taxiways open joints one night and seal them the next. */ readonly twoPasses: boolean;
  readonly seed: number;
}

const SETUP = 30;
/** Minutes of work that a crew has of a night, about: 360 less setting up and skinning over. */
const NET = 190;
const METRES_PER_MINUTE = 0.94;

/** An invented airport: two or more runways that exclude one another, taxiways that cut some of them off, aprons. */
export function inventedAirport(size: AirportSize): PackingProblem {
  const { uniform } = seededRandom(size.seed);
  const names = [
    ...Array.from({ length: size.runways }, (_, i) => ({ id: `R${i + 1}`, share: 6, closureCost: 5 })),
    ...Array.from({ length: size.taxiways }, (_, i) => ({ id: `T${i + 1}`, share: 1, closureCost: 1.5 })),
    ...Array.from({ length: size.aprons }, (_, i) => ({ id: `A${i + 1}`, share: 3, closureCost: 1 })),
  ];
  const shares = names.reduce((sum, { share }) => sum + share, 0);
  const metres = size.load * size.crews * size.nights * NET * METRES_PER_MINUTE;
  const crews: CrewMakeUp[] = Array.from({ length: size.crews }, (_, i) => ({
    id: `crew-${i + 1}`,
    name: `Crew ${i + 1}`,
    teams: USUAL_TEAMS,
    families: ['silicone', 'cold-poured'],
    paceFactor: 1,
  }));
  const fromDay = dayNumber('2027-05-03');
  const facilities: PlanFacility[] = names.map(({ id, closureCost }) => ({
    id,
    name: id,
    closureCost,
    setUpMinutes: SETUP,
    clearAwayMinutes: 30,
    mostCrews: id.startsWith('R') ? 2 : 1,
    earliestMinute: null,
    latestMinute: null,
  }));
  const jobs = (facilityId: string, share: number, i: number): ResealJob[] => {
    const count = Math.max(4, Math.round((size.segments * share) / shares));
    const length = ((metres * share) / shares / count) * (0.8 + 0.4 * uniform());
    const twoPasses = size.twoPasses && facilityId.startsWith('T') && i % 2 === 0;
    return Array.from({ length: count }, (_, s) => ({
      segmentId: `${facilityId}-${s + 1}`,
      facilityId,
      lengthM: length * (0.7 + 0.6 * uniform()),
      weightPerM: 1,
      oldClass: 'hot-applied',
      newClass: facilityId.startsWith('A') ? 'polysulfide' : 'silicone-self-levelling',
      washAfterSawing: twoPasses,
      withRod: true,
      fuelExposure: facilityId.startsWith('A'),
      // The last seventh of a taxiway lies in the safety area of the runway that it serves.
      requiresClosed: facilityId.startsWith('T') && s >= (count * 6) / 7 ? [runwayOf(size, i)] : [],
      gateId: 'state-40f',
      concretePlacedDay: null,
    }));
  };
  const settings = {
    ...USUAL_WORK,
    crews,
    longestShiftMinutes: 360,
    openJoints: 'may-stay-open' as const,
    dryingHours: 12,
    mostHoursOpen: 96,
    openingMinutes: { polysulfide: 120 },
  };
  const { blocks } = workBlocks(
    names.flatMap(({ id, share }, i) => jobs(id, share, i - size.runways)),
    settings,
  );
  return {
    facilities,
    windows: names.flatMap(({ id }) =>
      closureWindows({
        facilityId: id,
        weekdays: [0, 1, 2, 3, 4, 5, 6],
        startMinuteOfDay: 23 * 60,
        lengthMinutes: 360,
        fromDay,
        toDay: fromDay + size.nights - 1,
        mostShiftMinutes: 600,
        shiftStartMinuteOfDay: null,
      }),
    ),
    exclusions: exclusionsOf(size),
    barred: [],
    crews: crews.map(({ id, name }) => ({ id, name, unavailable: [] })),
    blocks,
    rules: { ...USUAL_RULES, reserve: null },
    fixed: [],
    previous: [],
  };
}

/** The runway that a taxiway serves, and in whose safety area its end lies. */
const runwayOf = (size: AirportSize, taxiway: number): string => `R${(taxiway % size.runways) + 1}`;

function exclusionsOf(size: AirportSize): Exclusion[] {
  const found: Exclusion[] = [];
  const add = (a: string, b: string, reason: string) => found.push({ facilityIds: [a, b], reason });
  for (let a = 1; a <= size.runways; a++)
    for (let b = a + 1; b <= size.runways; b++) add(`R${a}`, `R${b}`, 'one runway stays open');
  for (let t = 1; t <= size.taxiways; t += 3) {
    // A closed taxiway cuts off the runway it serves, so another one must be open.
    add(`T${t}`, runwayOf(size, t), 'it cuts off the other runway');
    if (t + 1 <= size.taxiways) add(`T${t}`, `T${t + 1}`, 'one way to the aprons stays open');
  }
  for (let a = 2; a <= size.aprons; a += 2) add(`A${a - 1}`, `A${a}`, 'stands for half of the aircraft stay open');
  return found;
}
