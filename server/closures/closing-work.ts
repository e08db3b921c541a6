import type { ClosureRules } from '../schemas/closure-rules.ts';
import type { Direction } from '../schemas/words.ts';
import { type ClosingUnit, laneList, partUnit, WHOLE_FACILITIES, wholeUnit } from './closing-unit.ts';
import type { PlannedWork } from './planned-work.ts';

/** A reseal, or the half of one that lies in a direction, with what closes for it. */
export interface ClosingWork {
  readonly planned: PlannedWork;
  readonly unit: ClosingUnit;
  /** Place in the sealed length of the segment at which it begins, m. */ readonly fromM: number;
  readonly lengthM: number;
}

/**
 * What closes for each work. A joint whose direction is not told, or that lies between the two, closes the whole facility; a
 * transverse one across both is done one direction at a time, half of its length each, if the rules say so.
 * @param directionsOf directions of traffic of each facility
 */
export const closingWorks = (
  works: readonly PlannedWork[],
  { parts = WHOLE_FACILITIES }: Pick<ClosureRules, 'parts'>,
  directionsOf: ReadonlyMap<string, readonly Direction[]>,
): ClosingWork[] =>
  works.flatMap((planned) => {
    const { facility, segment, work } = planned;
    const directions = parts.closeBy === 'facility' ? [] : (directionsOf.get(facility.id) ?? []);
    const whole = { planned, fromM: 0, lengthM: work.lengthM };
    if (directions.length === 0) return [{ ...whole, unit: wholeUnit(facility) }];
    const lanes = parts.closeBy === 'lane' ? lanesOf(segment) : [];
    const { direction } = segment;
    if (direction !== null && direction !== 'both') return [{ ...whole, unit: partUnit(facility, direction, lanes) }];
    if (!(parts.acrossByHalves && direction === 'both' && liesAcross(segment) && directions.length === 2))
      return [{ ...whole, unit: wholeUnit(facility, 'both') }];
    const lengthM = work.lengthM / 2;
    return directions.map((each, i) => ({
      planned,
      unit: partUnit(facility, each, lanes),
      fromM: i * lengthM,
      lengthM,
    }));
  });

type Laned = Pick<PlannedWork['segment'], 'firstLane' | 'lastLane'>;

const lanesOf = ({ firstLane, lastLane }: Laned): number[] => laneList(firstLane, lastLane);

/** Lanes of some segments together, in order; empty where one of them does not tell. */
export function lanesOfAll(segments: readonly Laned[]): number[] {
  const each = segments.map(lanesOf);
  return each.some(({ length }) => length === 0) ? [] : [...new Set(each.flat())].sort((a, b) => a - b);
}

const liesAcross = ({ jointType }: PlannedWork['segment']): boolean =>
  jointType.startsWith('transverse') || jointType === 'bridge-deck';
