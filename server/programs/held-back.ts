import type { ScenarioInputs } from '../schemas/scenario.ts';

/** From which year on segments are not resealed, since their pavement is to be replaced. */
export interface Barred {
  /** First year without resealing; null: none. The earlier of what holds for the segment and for its facility. */
  from(segmentId: string, facilityId: string): number | null;
}

/**
 * A reseal within `yearsBefore` years of the new pavement would be thrown away with the old one. After that year the joints
 * are new ones, with seals of their own that come with the pavement: they are outside the program.
 */
export function barredYears(heldBack: ScenarioInputs['heldBack']): Barred {
  const segments = new Map<string, number>();
  const facilities = new Map<string, number>();
  for (const { segmentId, facilityId, pavementYear, yearsBefore } of heldBack) {
    const [years, key] = segmentId !== null ? [segments, segmentId] : [facilities, facilityId ?? ''];
    const from = pavementYear - yearsBefore;
    years.set(key, Math.min(from, years.get(key) ?? from));
  }
  return {
    from(segmentId, facilityId) {
      const [own, shared] = [segments.get(segmentId), facilities.get(facilityId)];
      if (own === undefined || shared === undefined) return own ?? shared ?? null;
      return Math.min(own, shared);
    },
  };
}
