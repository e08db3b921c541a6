import type { SegmentKnowledge } from './segment-mixture.ts';
import { effectsOfSome } from './shared-effects.ts';

/** What is known of some of the segments but for their damage, in the order of `members`. */
export function knownOfSome(
  known: Omit<SegmentKnowledge, 'damageShare'>,
  members: ArrayLike<number>,
): Omit<SegmentKnowledge, 'damageShare'> {
  const width = known.count > 0 ? known.covariates.length / known.count : 0;
  const covariates = new Float64Array(members.length * width);
  for (let k = 0; k < members.length; k++)
    covariates.set(known.covariates.subarray(members[k] * width, (members[k] + 1) * width), k * width);
  const pick = (from: Float64Array): Float64Array => Float64Array.from(members, (i) => from[i]);
  return {
    count: members.length,
    covariates,
    soundAgeYears: pick(known.soundAgeYears),
    planningAgeYears: pick(known.planningAgeYears),
    foundFailedAgeYears: pick(known.foundFailedAgeYears),
    shared: known.shared && effectsOfSome(known.shared, members),
  };
}
