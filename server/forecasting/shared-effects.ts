import type { SharedEffects } from '../../analytics/forecast/shared-effects.ts';
import type { GroupingDraws } from '../../analytics/pooling/level-draws.ts';
import { ruleOf, type SealGroups } from './level-groupings.ts';

/** A seal with what it is grouped by. */
export interface GroupedSegment {
  readonly id: string;
  readonly groups: SealGroups;
}

/** The effects on some segments, in their order; null where the model has none. */
export function sharedEffects(
  levels: readonly GroupingDraws[] | undefined,
  segments: readonly GroupedSegment[],
): SharedEffects | null {
  if (!levels || levels.length === 0) return null;
  const level = new Int32Array(segments.length * levels.length);
  for (const [g, grouping] of levels.entries()) {
    const { levelOf } = ruleOf(grouping.name);
    const places = new Map(grouping.levels.map((name, l) => [name, l]));
    for (const [i, { id, groups }] of segments.entries())
      level[i * levels.length + g] = placeOf(levelOf(groups), id, grouping, places);
  }
  return { groupings: levels, level, newSealSd: newSealSd(levels) };
}

/** A level that is not recorded, or that came after the fit, is one of those that stand for all others. */
function placeOf(
  name: string | null,
  segmentId: string,
  { levels, unknownLevels }: GroupingDraws,
  places: ReadonlyMap<string, number>,
): number {
  const known = name === null ? undefined : places.get(name);
  return known ?? levels.length + (hashOf(name ?? segmentId) % unknownLevels);
}

/** FNV-1a: the same text gives the same number, on any computer. */
function hashOf(text: string): number {
  let hash = 0x811c9dc5;
  for (let k = 0; k < text.length; k++) hash = Math.imul(hash ^ text.charCodeAt(k), 0x01000193) >>> 0;
  return hash;
}

/** SD of all that a new seal draws anew, one for each draw. */
function newSealSd(levels: readonly GroupingDraws[]): Float64Array | null {
  const ofSeal = levels.filter((grouping) => grouping.ofSeal);
  if (ofSeal.length === 0) return null;
  return ofSeal[0].sd.map((_, d) => Math.hypot(...ofSeal.map(({ sd }) => sd[d])));
}

/** SD of log life among all levels together, one for each draw; zeros where there are no effects. */
export function levelSd(levels: readonly GroupingDraws[] | undefined, draws: number): Float64Array {
  return Float64Array.from({ length: draws }, (_, d) => Math.hypot(...(levels ?? []).map(({ sd }) => sd[d])));
}
