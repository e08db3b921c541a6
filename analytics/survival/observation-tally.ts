import type { SegmentObservations } from './observation-records.ts';
import { OBSERVATION_RULES, type ObservationMark, type ObservationRule } from './observation-rules.ts';

/** How many seals were read one way. */
export interface RuleCount {
  readonly rule: ObservationRule | ObservationMark;
  readonly label: string;
  readonly used: boolean;
  readonly seals: number;
  /** Up to ten segment ids. */ readonly examples: readonly string[];
}

/** Counts readings and marks segment by segment, so that a large network need not be kept for it. */
export class ObservationTally {
  readonly #counts: ReadonlyMap<ObservationRule | ObservationMark, { seals: number; readonly examples: Set<string> }>;

  constructor() {
    const words = Object.keys(OBSERVATION_RULES) as (keyof typeof OBSERVATION_RULES)[];
    this.#counts = new Map(words.map((rule) => [rule, { seals: 0, examples: new Set<string>() }]));
  }

  add({ segmentId, seals }: SegmentObservations): void {
    for (const { rule, marks } of seals)
      for (const word of [rule, ...marks]) {
        const count = this.#counts.get(word);
        if (!count) continue;
        count.seals++;
        if (count.examples.size < 10) count.examples.add(segmentId);
      }
  }

  /** Every entry of the table, also those with no seal. */
  counts(): RuleCount[] {
    return [...this.#counts].map(([rule, { seals, examples }]) => ({
      rule,
      label: OBSERVATION_RULES[rule].label,
      used: OBSERVATION_RULES[rule].used,
      seals,
      examples: [...examples],
    }));
  }
}

/** Counts of readings and marks over a network. */
export function tallyObservations(segments: Iterable<SegmentObservations>): RuleCount[] {
  const tally = new ObservationTally();
  for (const segment of segments) tally.add(segment);
  return tally.counts();
}
