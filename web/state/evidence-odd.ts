import type { LevelEffect, OddGrouping, OddLevel } from '../../server/schemas/evidence-odd.ts';
import type { Filter } from '../../server/schemas/filter.ts';
import { withList, writeFilter } from './filter.ts';
import { screenAddress } from './routes.ts';

/** The lists of the screen, in the order of its tabs. */
export const ODD_LISTS = ['lot', 'facility', 'district', 'early', 'influential', 'contradictory'] as const;
export type OddList = (typeof ODD_LISTS)[number];
export const ODD_LIST_LABELS: Readonly<Record<OddList, string>> = {
  lot: 'Lots and crews',
  facility: 'Facilities',
  district: 'Districts',
  early: 'Early failures',
  influential: 'Most influence',
  contradictory: 'Contradictory histories',
};

export const readOddList = (text: string | null): OddList => ODD_LISTS.find((list) => list === text) ?? 'lot';

/** What one level of each grouping is called. */
export const GROUPING_NOUNS: Readonly<Record<OddGrouping['name'], readonly [one: string, many: string]>> = {
  lot: ['lot', 'lots'],
  facility: ['facility', 'facilities'],
  district: ['district', 'districts'],
};

/** Servers refuse requests of more than 16 KB; half of that leaves room for everything else in one. */
const LONGEST_LIST = 8_000;

export interface SegmentsLink {
  readonly map: string;
  readonly table: string;
  /** Segments that the links keep: fewer than asked when an address could not hold them all. */ readonly held: number;
}

/** Addresses of map and table that keep exactly these segments, or the first of them that fit into an address. */
export function segmentsLink(segmentIds: readonly string[]): SegmentsLink {
  const held: string[] = [];
  let length = 0;
  for (const id of segmentIds) {
    // Written twice over: a comma inside a word is %2C, and that again is escaped in the address.
    length += encodeURIComponent(encodeURIComponent(id)).length + 1;
    if (length > LONGEST_LIST) break;
    held.push(id);
  }
  return { ...linksFor(withList({}, 'segmentIds', held)), held: held.length };
}

/** Addresses of map and table with what a facility, district or lot holds. */
export function levelLink(grouping: OddGrouping['name'], { level, segmentIds }: OddLevel): SegmentsLink {
  if (grouping === 'lot') return segmentsLink(segmentIds);
  return { ...linksFor(withList({}, grouping, [level])), held: Number.POSITIVE_INFINITY };
}

const linksFor = (filter: Filter) => {
  const params = writeFilter(new URLSearchParams(), filter);
  return { map: screenAddress('/map', params), table: screenAddress('/joints', params) };
};

export const segmentTableLink = (segmentId: string): string => `/joints?segment=${encodeURIComponent(segmentId)}`;
export const segmentMapLink = (segmentId: string): string => `/map?segment=${encodeURIComponent(segmentId)}`;

export interface ShownLevel extends LevelEffect {
  readonly flagged: boolean;
}

/**
 * Levels for a picture, shortest life first: all that are named, and of the others those furthest from the average, as
 * far as there is room. A level that cannot be compared has no place in a picture.
 */
export function levelsShown({ odd, levels }: OddGrouping, room: number): ShownLevel[] {
  const named = new Set(odd.map(({ level }) => level));
  const rest = levels
    .filter(({ level, lifeRatio }) => !named.has(level) && lifeRatio !== null)
    .sort((a, b) => Math.abs(b.effect ?? 0) - Math.abs(a.effect ?? 0))
    .slice(0, Math.max(0, room - odd.length));
  return [...odd.map((level) => ({ ...level, flagged: true })), ...rest.map((level) => ({ ...level, flagged: false }))]
    .filter(({ lifeRatio }) => lifeRatio !== null)
    .sort((a, b) => (a.lifeRatio ?? 1) - (b.lifeRatio ?? 1));
}
