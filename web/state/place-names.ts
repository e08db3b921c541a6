import type { Facility } from '../../server/schemas/facility.ts';

type Named = Pick<Facility, 'id' | 'kind' | 'name' | 'district'>;

/** What the map writes beside a facility: from afar its district, nearer what it is part of, then its own name. */
export interface PlaceNames {
  readonly district: string;
  /** "Highway 12", "Central Airport"; '' for a bridge, whose road carries the name. */ readonly whole: string;
  readonly own: string;
  /** Which name goes first where there is not room for all: airfields, then roads, then bridges. */ readonly rank: number;
  /** Shorter where the map shows nothing but this facility's surroundings: "Runway A". */ readonly near: string;
}

const AIRFIELD: readonly Facility['kind'][] = ['runway', 'taxiway', 'apron'];

/** Names by facility id. What several names say before their first comma is taken as the name of the whole. */
export function placeNames(facilities: readonly Named[]): Record<string, PlaceNames> {
  const heads = new Map<string, number>();
  for (const { name } of facilities) heads.set(headOf(name), (heads.get(headOf(name)) ?? 0) + 1);
  return Object.fromEntries(
    facilities.map(({ id, kind, name, district }) => {
      const head = headOf(name);
      const shared = head !== name && (heads.get(head) ?? 0) > 1;
      const whole = kind === 'bridge' ? '' : shared ? head : name;
      const near = shared && AIRFIELD.includes(kind) ? name.slice(head.length + 1).trim() : name;
      const rank = AIRFIELD.includes(kind) ? 0 : kind === 'bridge' ? 2 : 1;
      return [id, { district, whole, own: name, near, rank }];
    }),
  );
}

const headOf = (name: string): string => name.split(',')[0].trim();
