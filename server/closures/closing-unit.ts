import type { ClosureRules } from '../schemas/closure-rules.ts';
import type { Closure } from '../schemas/closures.ts';
import type { Facility } from '../schemas/facility.ts';
import type { Direction } from '../schemas/words.ts';

/** What closes at once: a facility, one direction of a highway, or some lanes of one. */
export interface ClosingUnit {
  /** The facility's key where the whole of it closes. */ readonly id: string;
  readonly facility: Facility;
  /** null: the whole facility, of which no directions are told; `both`: all of one that has directions. */
  readonly direction: Direction | null;
  /** That close; empty: all of the direction. */ readonly lanes: readonly number[];
}

type Part = Pick<ClosingUnit, 'direction' | 'lanes'>;
export type PartRules = NonNullable<ClosureRules['parts']>;

/** Plans made before there were directions close whole facilities. */
export const WHOLE_FACILITIES: PartRules = {
  ...{ closeBy: 'facility', directionsTogether: false, lanesTogether: false, acrossByHalves: false },
};

export const wholeUnit = (facility: Facility, direction: 'both' | null = null): ClosingUnit => ({
  ...{ id: facility.id, facility, direction, lanes: [] },
});

export function partUnit(facility: Facility, direction: Direction, lanes: readonly number[]): ClosingUnit {
  const id = [facility.id, direction, ...(lanes.length === 0 ? [] : [lanes.join('+')])].join('|');
  return { id, facility, direction, lanes };
}

/** What a closure closes, as the solver and its rules know it. */
export const unitIdOf = ({ part, facilityId }: Pick<Closure, 'part' | 'facilityId'>): string => part?.id ?? facilityId;

/** The unit of a closure that is kept, whatever the rules have become since. */
export const unitOf = ({ part }: Pick<Closure, 'part'>, facility: Facility): ClosingUnit =>
  part ? { ...part, facility } : wholeUnit(facility);

/**
 * What a closure of a unit tells of itself; null where the whole facility closes and has no directions.
 * @param lanes those that its work lies in; empty: not known of all of it
 */
export function partOf({ id, direction, lanes: closed }: ClosingUnit, lanes: readonly number[]): Closure['part'] {
  if (direction === null) return null;
  const told = closed.length > 0 ? closed : lanes;
  return { id, direction, lanes: [...told], name: partWords(direction, told) };
}

const DIRECTION_WORDS: Partial<Record<Direction, string>> = {
  increasing: 'with increasing measure',
  decreasing: 'with decreasing measure',
  both: 'both directions',
};

/** "northbound, lanes 1 and 2". */
export const partWords = (direction: Direction, lanes: readonly number[]): string =>
  [DIRECTION_WORDS[direction] ?? direction, ...lanesInWords(lanes)].join(', ');

function lanesInWords(lanes: readonly number[]): string[] {
  const [first, last] = [lanes[0], lanes.at(-1)];
  if (lanes.length === 0) return [];
  if (lanes.length === 1) return [`lane ${first}`];
  return [lanes.length > 2 ? `lanes ${first} to ${last}` : `lanes ${first} and ${last}`];
}

/** A facility with the direction and lanes that close, where only these do. */
export const closedName = ({ facilityName, part }: Pick<Closure, 'facilityName' | 'part'>): string =>
  part ? `${facilityName}, ${part.name}` : facilityName;

export const unitName = ({ facility, direction, lanes }: ClosingUnit): string =>
  direction === null ? facility.name : `${facility.name}, ${partWords(direction, lanes)}`;

/** Why two different parts of one facility may not be closed at the same time; null: they may. */
export function whyNotTogether(a: Part, b: Part, { directionsTogether, lanesTogether }: PartRules): string | null {
  if (isWhole(a) || isWhole(b)) return 'One of the two closes both directions.';
  if (a.direction !== b.direction) return directionsTogether ? null : 'One direction of a highway stays open.';
  const shared = a.lanes.length === 0 || b.lanes.length === 0 || a.lanes.some((lane) => b.lanes.includes(lane));
  if (shared) return 'They have a lane in common.';
  return lanesTogether ? null : 'Other lanes of the direction stay open.';
}

export const isWhole = ({ direction }: Part): boolean => direction === null || direction === 'both';

export function unitsByFacility(units: readonly ClosingUnit[]): Map<string, ClosingUnit[]> {
  const found = new Map<string, ClosingUnit[]>();
  for (const unit of units) {
    const list = found.get(unit.facility.id);
    if (list) list.push(unit);
    else found.set(unit.facility.id, [unit]);
  }
  return found;
}

/** Of one work, by its segment's record: "northbound, lanes 1 and 2"; empty where it tells nothing. */
export function lanesWords({ direction, firstLane, lastLane }: Closure['works'][number]): string {
  const lanes = laneList(firstLane ?? null, lastLane ?? null);
  return direction ? partWords(direction, lanes) : lanesInWords(lanes).join('');
}

/** The same for a narrow column: "northbound 1–2". */
export function shortLanes({ direction, firstLane, lastLane }: Closure['works'][number]): string {
  const [first, last] = [firstLane ?? null, lastLane ?? firstLane ?? null];
  const lanes = first === null ? [] : [first === last ? `${first}` : `${first}–${last}`];
  return [...(direction ? [direction === 'both' ? 'both ways' : direction] : []), ...lanes].join(' ');
}

/** A joint across both directions in a closure of one of them: the other half is done in another closure. */
export const halvesIn = ({ part, works }: Pick<Closure, 'part' | 'works'>): boolean =>
  part != null && part.direction !== 'both' && works.some(({ direction }) => direction === 'both');

/** All lanes from the first to the last, in order; empty: not told. */
export const laneList = (first: number | null, last: number | null): number[] =>
  first === null ? [] : Array.from({ length: (last ?? first) - first + 1 }, (_, i) => first + i);
