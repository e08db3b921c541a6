import {
  type ClosureWindow,
  type Exclusion,
  type PackingProblem,
  type PlanFacility,
  USUAL_RULES,
  type WorkBlock,
  type WorkPass,
} from '../../../../analytics/closures/closure-plan.ts';
import { seededRandom } from '../../../../analytics/numeric/seeded-normals.ts';

export interface RandomSize {
  readonly facilities: number;
  /** Days on which windows may start. */ readonly days: number;
  readonly pieces: number;
  readonly crews: number;
  /** Of the blocks, how many have two passes, 0 to 1. */ readonly twoPassShare: number;
  /** Of the windows, how many last a weekend of three shifts, 0 to 1. */ readonly longShare: number;
  /** Most pieces in a block; left out: half of all. */ readonly blockPieces?: number;
}

const DAY = 1440;

/** A small invented plan in which every rule has a chance to bite. */
export function randomProblem(seed: number, size: RandomSize): PackingProblem {
  const { uniform } = seededRandom(seed);
  const draw = (below: number) => Math.floor(uniform() * below);
  const chance = (share: number) => uniform() < share;
  const one = <T>(items: readonly T[]): T => items[draw(items.length)];
  const facilities: PlanFacility[] = Array.from({ length: size.facilities }, (_, f) => ({
    id: `F${f}`,
    name: `Facility ${f}`,
    closureCost: one([1, 1.5, 3]),
    setUpMinutes: one([0, 30]),
    clearAwayMinutes: one([0, 30, 60]),
    mostCrews: chance(0.25) ? 2 : 1,
    earliestMinute: chance(0.15) ? DAY : null,
    latestMinute: chance(0.1) ? (size.days - 0.5) * DAY : null,
  }));
  const windows = facilities.flatMap((f) => windowsOf(f, size, { draw, chance, one }));
  const exclusions: Exclusion[] = [];
  for (let a = 0; a < size.facilities; a++)
    for (let b = a + 1; b < size.facilities; b++)
      if (chance(0.35)) exclusions.push({ facilityIds: [`F${a}`, `F${b}`], reason: 'traffic' });
  const crews = Array.from({ length: size.crews }, (_, c) => ({
    id: `C${c}`,
    name: `Crew ${c}`,
    unavailable: chance(0.15) ? [{ startMinute: DAY, endMinute: 2 * DAY }] : [],
  }));
  const blocks: WorkBlock[] = [];
  let pieces = size.pieces;
  while (pieces > 0) {
    const f = one(facilities);
    const count = Math.min(pieces, 1 + draw(size.blockPieces ?? Math.max(2, Math.ceil(size.pieces / 2))));
    pieces -= count;
    const others = facilities.filter(
      ({ id }) => id !== f.id && !exclusions.some(({ facilityIds: p }) => p.includes(id) && p.includes(f.id)),
    );
    const number = blocks.length;
    blocks.push({
      id: `B${number}`,
      facilityId: f.id,
      weightPerM: one([1, 1, 2]),
      requiresClosed: others.length > 0 && chance(0.25) ? [one(others).id] : [],
      gateId: one(['mild', 'strict']),
      earliestMinute: chance(0.1) ? DAY : null,
      latestMinute: null,
      passes: passesOf(
        size,
        crews.map(({ id }) => id),
        { chance, one },
      ),
      pieces: Array.from({ length: count }, (_, i) => {
        const lengthM = 40 + 10 * draw(15);
        return { id: `B${number}-${i}`, segmentId: `S${number}-${i}`, fromM: 0, toM: lengthM, lengthM };
      }),
    });
  }
  return {
    facilities,
    windows,
    exclusions,
    barred: chance(0.2) ? [{ name: 'an event', facilityId: null, startMinute: 2 * DAY, endMinute: 2 * DAY + 600 }] : [],
    crews,
    blocks,
    rules: { ...USUAL_RULES, restMinutes: one([0, 660]), reserve: chance(0.5) ? USUAL_RULES.reserve : null },
    fixed: [],
    previous: [],
  };
}

interface Dice {
  readonly draw: (below: number) => number;
  readonly chance: (share: number) => boolean;
  readonly one: <T>(items: readonly T[]) => T;
}

function windowsOf(f: PlanFacility, size: RandomSize, { chance, one }: Dice): ClosureWindow[] {
  return Array.from({ length: size.days }, (_, day) => day).flatMap((day) => {
    if (!chance(0.75)) return [];
    const long = chance(size.longShare);
    const startMinute = day * DAY + one([23 * 60, 21 * 60]);
    const endMinute = startMinute + (long ? 3000 : one([300, 360, 420]));
    const shifts = long
      ? [0, 1, 2].map((k) => ({
          startMinute: startMinute + k * DAY,
          endMinute: Math.min(endMinute, startMinute + k * DAY + 600),
        }))
      : [{ startMinute, endMinute }];
    return {
      id: `${f.id}@${day}`,
      facilityId: f.id,
      startMinute,
      endMinute,
      shifts: shifts.filter((s) => s.endMinute > s.startMinute),
      clockChangeMinutes: chance(0.05) ? one([-60, 60]) : 0,
      chanceByGate: { strict: one([0.2, 0.5, 0.8]), mild: one([0.8, 0.9]) },
    };
  });
}

function passesOf(size: RandomSize, crews: readonly string[], { chance, one }: Omit<Dice, 'draw'>): WorkPass[] {
  const pace = one([0.5, 1, 1.4]);
  const pass = (kind: WorkPass['kind'], minutes: number, openingMinutes: number): WorkPass => ({
    kind,
    operations: [],
    minutesPerM: Object.fromEntries(crews.map((id) => [id, minutes])),
    insideWaitMinutes: 0,
    openingMinutes,
    afterPrevious: null,
  });
  if (!chance(size.twoPassShare))
    return [{ ...pass('reseal', pace, one([0, 60, 90])), insideWaitMinutes: one([0, 0, 30]) }];
  const lag = { leastMinutes: one([0, 600]), mostMinutes: one([2880, 4320]), sameClosure: chance(0.3) };
  return [pass('open', pace / 2, 0), { ...pass('seal', pace, one([0, 60])), afterPrevious: lag }];
}
