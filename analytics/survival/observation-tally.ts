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

/** Counts of readings and marks over a network: every entry of the table, also those with no seal. */
export function tallyObservations(segments: Iterable<SegmentObservations>): RuleCount[] {
  const words = Object.keys(OBSERVATION_RULES) as (keyof typeof OBSERVATION_RULES)[];
  const counts = new Map(words.map((rule) => [rule, { seals: 0, examples: new Set<string>() }]));
  for (const { segmentId, seals } of segments)
    for (const { rule, marks } of seals)
      for (const word of [rule, ...marks]) {
        const count = counts.get(word);
        if (!count) continue;
        count.seals++;
        if (count.examples.size < 10) count.examples.add(segmentId);
      }
  return [...counts].map(([rule, { seals, examples }]) => ({
    rule,
    label: OBSERVATION_RULES[rule].label,
    used: OBSERVATION_RULES[rule].used,
    seals,
    examples: [...examples],
  }));
}
