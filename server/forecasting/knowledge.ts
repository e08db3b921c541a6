import type { SegmentKnowledge } from '../../analytics/forecast/forecast-segments.ts';
import { writeDesignRow } from '../../analytics/survival/covariate-rows.ts';
import { groupsInPlace } from './level-groupings.ts';
import type { NetworkSegment, SealInPlace } from './network.ts';
import { sharedEffects } from './shared-effects.ts';
import type { StoredModel } from './stored-model.ts';

export type SealedSegment = NetworkSegment & { readonly inPlace: SealInPlace };

/** Segments with a seal in place: those that can fail. */
export const sealedSegments = (segments: readonly NetworkSegment[]): SealedSegment[] =>
  segments.filter((segment): segment is SealedSegment => segment.inPlace !== null);

/** What is known of each, as arrays: one entry per segment. */
export function knowledgeOf(
  segments: readonly SealedSegment[],
  { design, levels }: Pick<StoredModel, 'design' | 'levels'>,
): SegmentKnowledge {
  const width = design.names.length;
  const covariates = new Float64Array(segments.length * width);
  for (const [i, { inPlace }] of segments.entries()) writeDesignRow(design, inPlace.covariates, covariates, i * width);
  const column = (pick: (seal: SealInPlace) => number) => Float64Array.from(segments, ({ inPlace }) => pick(inPlace));
  return {
    count: segments.length,
    covariates,
    soundAgeYears: column((seal) => seal.soundAgeYears),
    planningAgeYears: column((seal) => seal.planningAgeYears),
    foundFailedAgeYears: column((seal) => seal.foundFailedAgeYears),
    damageShare: column((seal) => seal.damageShare),
    shared: sharedEffects(
      levels,
      segments.map((segment) => ({ id: segment.id, groups: groupsInPlace(segment) })),
    ),
  };
}
