import type { ScenarioInputs } from '../schemas/scenario.ts';

/** From which year on a segment is not resealed, since its pavement is to be replaced; null: nothing holds it back. */
export type HeldBackFrom = (segmentId: string, facilityId: string) => number | null;

type HeldBack = ScenarioInputs['heldBack'][number];

/** What holds for a segment: its own entry, else that of its facility. */
function entryFinder(heldBack: readonly HeldBack[]): (segmentId: string, facilityId: string) => HeldBack | undefined {
  const bySegment = new Map(heldBack.map((entry) => [entry.segmentId, entry]));
  const byFacility = new Map(heldBack.map((entry) => [entry.facilityId, entry]));
  return (segmentId, facilityId) => bySegment.get(segmentId) ?? byFacility.get(facilityId);
}

/** A reseal within `yearsBefore` years of the new pavement would be thrown away with the old one. */
export function heldBackFrom(heldBack: readonly HeldBack[]): HeldBackFrom {
  const find = entryFinder(heldBack);
  return (segmentId, facilityId) => {
    const entry = find(segmentId, facilityId);
    return entry ? entry.pavementYear - entry.yearsBefore : null;
  };
}

/**
 * Year of new pavement and years held back before it, one entry for each segment; -1 and 0 where nothing holds.
 * @param firstYear calendar year of year 0
 */
export function heldBackSegments(
  heldBack: readonly HeldBack[],
  segments: readonly { readonly id: string; readonly facilityId: string }[],
  firstYear: number,
): { replacedInYear: Int32Array; heldBackYears: Int32Array } {
  const find = entryFinder(heldBack);
  const replacedInYear = new Int32Array(segments.length).fill(-1);
  const heldBackYears = new Int32Array(segments.length);
  for (const [i, { id, facilityId }] of segments.entries()) {
    const entry = find(id, facilityId);
    if (!entry) continue;
    replacedInYear[i] = Math.max(0, entry.pavementYear - firstYear);
    heldBackYears[i] = entry.yearsBefore;
  }
  return { replacedInYear, heldBackYears };
}
