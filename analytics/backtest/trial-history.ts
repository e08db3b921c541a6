import type { SegmentRecords } from '../survival/observation.ts';

/** The records of one segment with what its trials are grouped by. */
export interface TrialHistory {
  readonly records: SegmentRecords;
  /** First day from which a failure would have left a record; null: always. */ readonly recordsFrom: string | null;
  readonly facility: string;
  readonly district: string;
  readonly climateZone: string | null;
  /** Sealed length, m, above 0. */ readonly lengthM: number;
  /** Class of each seal, in the order of `records.seals`. */ readonly sealantClasses: readonly string[];
}

/** How the whole network's records are read. */
export interface TrialRules {
  /** A seal has failed at this damaged share, above 0, at most 1. */ readonly failureThresholdShare: number;
  readonly inspectionMethod: string;
  /** Records dated later are not used. */ readonly today: string;
}

/** What trials are named by: an entry of a trial's group is an index into these. */
export interface TrialLabels {
  readonly cutoffs: readonly string[];
  readonly facilities: readonly string[];
  readonly districts: readonly string[];
  readonly classes: readonly string[];
  readonly zones: readonly string[];
}

export const NO_ZONE = 'not known';

/** Labels in order of the alphabet, with the index of each: the same whatever order the records came in. */
export class LabelIndex {
  readonly names: readonly string[];
  private readonly places: ReadonlyMap<string, number>;

  constructor(found: Iterable<string>) {
    this.names = [...new Set(found)].sort();
    this.places = new Map(this.names.map((name, i) => [name, i]));
  }

  /** @throws RangeError when the name is not among the labels */
  of(name: string): number {
    const place = this.places.get(name);
    if (place === undefined) throw new RangeError(`${name} is not among the labels: ${this.names.join(', ')}`);
    return place;
  }
}
