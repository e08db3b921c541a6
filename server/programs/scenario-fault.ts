import type { ScenarioInputs } from '../schemas/scenario.ts';
import type { FacilityKind, JointType, SealantClass } from '../schemas/words.ts';
import type { SegmentFacts } from '../store/store.ts';

/** Something in the inputs of a scenario that cannot be. */
export interface ScenarioFault {
  /** Path within the inputs, e.g. `committed.3.year`. */ readonly field: string;
  readonly found: string;
  readonly expected: string;
}

/** What the inputs of a scenario are checked against. */
export interface ScenarioGround {
  readonly inputs: ScenarioInputs;
  readonly firstYear: number;
  readonly lastYear: number;
  readonly districts: ReadonlySet<string>;
  readonly facilities: ReadonlySet<string>;
  readonly facilityKinds: ReadonlySet<FacilityKind>;
  readonly jointTypes: readonly JointType[];
  /** Of the segments that the inputs name, those that there are. */ readonly segments: ReadonlyMap<
    string,
    SegmentFacts
  >;
  /** Agency's currency per metre, prices of the scenario first; NaN where there is none. */
  readonly costPerM: (sealantClass: SealantClass, jointType: JointType) => number;
  /** Whether the scenario lets this segment be resealed with that class. */
  readonly allows: (sealantClass: SealantClass, segment: Pick<SegmentFacts, 'jointType' | 'fuelExposure'>) => boolean;
}

/** A year outside the horizon is a fault. */
export function yearFault(
  field: string,
  year: number,
  { firstYear, lastYear }: Pick<ScenarioGround, 'firstYear' | 'lastYear'>,
): ScenarioFault[] {
  if (year >= firstYear && year <= lastYear) return [];
  return [{ field, found: String(year), expected: `a year of the horizon, ${firstYear} to ${lastYear}` }];
}

/** Entries that say again what an earlier one said. */
export function repeated<T>(
  list: readonly T[],
  keyOf: (entry: T) => string,
  { field, expected }: { field: (index: number) => string; expected: string },
): ScenarioFault[] {
  const seen = new Map<string, number>();
  return list.flatMap((entry, index) => {
    const key = keyOf(entry);
    const first = seen.get(key);
    if (first === undefined) seen.set(key, index);
    return first === undefined
      ? []
      : [{ field: field(index), found: `${key}, as in entry ${first + 1}`, expected: `${expected}, each once` }];
  });
}

const WORDS_SHOWN = 12;

/** Some words of a set, for the reader who mistyped one. */
export function someOf(words: Iterable<string>): string {
  const all = [...words].sort();
  const more = all.length - WORDS_SHOWN;
  return `${all.slice(0, WORDS_SHOWN).join(', ')}${more > 0 ? ` and ${more} more` : ''}`;
}
