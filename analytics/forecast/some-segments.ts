import { pick, pickRows } from '../numeric/pick-rows.ts';
import type { SegmentKnowledge } from './segment-mixture.ts';
import { effectsOfSome } from './shared-effects.ts';

/** What is known of some of the segments but for their damage, in the order of `members`. */
export function knownOfSome(
  known: Omit<SegmentKnowledge, 'damageShare'>,
  members: ArrayLike<number>,
): Omit<SegmentKnowledge, 'damageShare'> {
  const width = known.count > 0 ? known.covariates.length / known.count : 0;
  const rows = Int32Array.from(members);
  return {
    count: members.length,
    covariates: pickRows(known.covariates, rows, width),
    soundAgeYears: pick(known.soundAgeYears, rows),
    planningAgeYears: pick(known.planningAgeYears, rows),
    foundFailedAgeYears: pick(known.foundFailedAgeYears, rows),
    shared: known.shared && effectsOfSome(known.shared, members),
  };
}
