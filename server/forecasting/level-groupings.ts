import type { Grouping } from '../../analytics/pooling/pooled-rows.ts';
import type { PooledGroupingName } from '../schemas/pooling.ts';
import type { Network, NetworkSegment } from './network.ts';

/** What a seal is grouped by besides its class. */
export interface SealGroups {
  readonly district: string;
  readonly facilityId: string;
  readonly lot: string | null;
}

interface GroupingRule {
  readonly name: PooledGroupingName;
  readonly levelOf: (seal: SealGroups) => string | null;
  /** A new seal has another one. */ readonly ofSeal: boolean;
}

/** Inspectors are not here: they differ in what they see, not in how long seals last. */
export const POOLED_GROUPINGS: readonly GroupingRule[] = [
  { name: 'district', levelOf: ({ district }) => district, ofSeal: false },
  { name: 'facility', levelOf: ({ facilityId }) => facilityId, ofSeal: false },
  { name: 'lot', levelOf: ({ lot }) => lot, ofSeal: true },
];

export const ruleOf = (name: string): GroupingRule => {
  const rule = POOLED_GROUPINGS.find((each) => each.name === name);
  if (!rule) throw new Error(`The stored model has effects of ${name}, which is not known here. Fit the model again.`);
  return rule;
};

/** Of the seal in place of a segment. */
export const groupsInPlace = ({ district, facilityId, inPlace }: NetworkSegment): SealGroups => ({
  district,
  facilityId,
  lot: inPlace?.seal.lot ?? null,
});

/** Rows of the fit by what they share. Levels are those of the rows and of all seals in place, in alphabetical order. */
export function levelGroupings({ rows, segments }: Pick<Network, 'rows' | 'segments'>): Grouping[] {
  return POOLED_GROUPINGS.map(({ name, levelOf }) => {
    const found = new Map<string, number>();
    const met = (level: string | null): number => {
      if (level === null) return -1;
      const place = found.get(level) ?? found.size;
      found.set(level, place);
      return place;
    };
    const index = Int32Array.from(rows, ({ groups }) => met(levelOf(groups)));
    for (const segment of segments) if (segment.inPlace !== null) met(levelOf(groupsInPlace(segment)));
    const levels = [...found.keys()].sort();
    const placeOf = new Int32Array(levels.length);
    for (const [place, level] of levels.entries()) placeOf[found.get(level) ?? 0] = place;
    return { name, levels, index: index.map((level) => (level < 0 ? -1 : placeOf[level])) };
  });
}
