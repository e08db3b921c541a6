import type { ObservationMark, ObservationRule } from './observation-rules.ts';

/** One generation of sealant as recorded. Days are ISO days. */
export interface ObservedSeal {
  readonly id: string;
  readonly installedFrom: string;
  /** Equal to `installedFrom` when the day is known. */ readonly installedTo: string;
  readonly removedOn: string | null;
  readonly removalReason: 'failed' | 'preventive' | 'pavement-work' | 'unknown' | null;
}

export interface ObservedInspection {
  readonly inspectedOn: string;
  readonly method: string;
  /** Share of length, 0 to 1. */ readonly damagedShare: number;
  /** Who took it; bounds of life do not depend on it. */ readonly inspector?: string | null;
}

export interface SegmentRecords {
  readonly segmentId: string;
  readonly unsealedByPolicy: boolean;
  /** In order of installation. */ readonly seals: readonly ObservedSeal[];
  /** In any order. */ readonly inspections: readonly ObservedInspection[];
}

export interface ReadingRules {
  /** A seal has failed at this damaged share, above 0, at most 1. */ readonly failureThresholdShare: number;
  /** The network's method: others are counted and not used, since ratings by two methods are never merged. */
  readonly inspectionMethod: string;
  /** First day from which a seal of this facility that failed would have left a record; null: always. */
  readonly recordsFrom: string | null;
  /** Records dated later are not used, so that past forecasts can be made again. */ readonly today: string;
}

/** Age at failure lies in (lowerDays, upperDays]; upperDays is Infinity while the seal is sound. Whole days. */
export interface Observation {
  readonly entryDays: number;
  readonly lowerDays: number;
  readonly upperDays: number;
}

/** One look at a seal by the network's method. The age is from the middle of the installation range. */
export interface SealLook {
  readonly onDay: string;
  readonly ageDays: number;
  readonly share: number;
}

export interface SealObservation {
  readonly sealId: string;
  /** null: not used in the fit; `rule` says why. */ readonly observation: Observation | null;
  readonly rule: ObservationRule;
  readonly marks: readonly ObservationMark[];
  /** A sentence for the screen: made when asked for, since networks have a hundred thousand. */ readonly note: () => string;
  readonly inPlace: boolean;
  /** In place, and the last inspection found it failed. */ readonly knownFailed: boolean;
  /** Last look that found it sound; of a known failure, the last one before it. */
  readonly lastSound: SealLook | null;
  /** First look of the failure that `knownFailed` or the observation speaks of. */
  readonly foundFailed: SealLook | null;
  readonly lastShare: SealLook | null;
  /** Every look of this seal in order of day, for learning how damage grows. */ readonly looks: readonly SealLook[];
}

export interface SegmentObservations {
  readonly segmentId: string;
  /** One for each seal, in the order given. */ readonly seals: readonly SealObservation[];
  /** Inspections by another method. */ readonly otherMethod: number;
  /** Inspections that fall in no seal's life, or between two seals whose dates do not tell which was seen. */
  readonly strayInspections: number;
  /** Inspections with an impossible damaged share. */ readonly impossibleInspections: number;
}
