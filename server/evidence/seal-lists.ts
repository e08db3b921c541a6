import { MOST_SEGMENT_IDS } from '../schemas/evidence-odd.ts';
import type { EvidenceNetwork } from './evidence-network.ts';

/** Where a seal is, as lists of seals show it. */
export function placeOf({ seals }: EvidenceNetwork, seal: number) {
  const { segmentId, sealId, sealantClass, facilityId, district, lot } = seals[seal];
  return { segmentId, sealId, sealantClass, facilityId, district, lot };
}

/** A list with its counts, cut to what a screen can show. `seals`: most telling first. */
export function listOfSeals<S extends { readonly segmentId: string }>(seals: readonly S[]) {
  return {
    count: seals.length,
    ...segmentsOf(seals.map(({ segmentId }) => segmentId)),
    seals: seals.slice(0, MOST_SEGMENT_IDS),
  };
}

/** How many segments there are, and the ids of the first of them (in the order given), sorted. */
export function segmentsOf(ids: readonly string[]): { segments: number; segmentIds: string[] } {
  const distinct = [...new Set(ids)];
  return { segments: distinct.length, segmentIds: distinct.slice(0, MOST_SEGMENT_IDS).sort() };
}
