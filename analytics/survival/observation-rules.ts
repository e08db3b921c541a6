/** One way of reading the records of a seal, as the screen prints it. */
export interface ObservationRuleText {
  readonly label: string;
  /** True when a seal read this way enters the fit. */ readonly used: boolean;
  /** `reading`: each seal has exactly one. `mark`: said in addition to the reading. */
  readonly kind: 'reading' | 'mark';
}

/** The closed list of readings and marks: one entry for each thing that the records of a seal can say. */
export const OBSERVATION_RULES = {
  'sound-then-failed': reading('Sound at one inspection, failed at a later one', true),
  'failed-at-first-look': reading('Failed at its first inspection', true),
  'still-sound': reading('Sound at every inspection, still in place', true),
  'never-inspected': reading('Never inspected by the network’s method, still in place', false),
  'removed-failed': reading('Removed as failed, with no inspection that found it failed', true),
  'removed-sound': reading('Removed as preventive or for pavement work', true),
  'removed-unknown': reading('Removed, reason unknown: followed to its last sound inspection', true),
  'contradictory-kept': reading('Failed, later sound, failure confirmed: first failure kept', true),
  'contradictory-left-out': reading('Failed, later sound, no reseal recorded: left out', false),
  'before-records': reading('Failed before failure records of the facility began', false),
  'no-information': reading('Nothing learnt: not seen sound or failed after it came under observation', false),
  'impossible-records': reading('Dates, ages or damaged shares that cannot be: left out', false),
  'unsealed-by-policy': reading('Segment unsealed by policy: left out', false),
  'delayed-entry': mark('Came under observation years after installation (delayed entry)'),
  'imprecise-installation': mark('Installation known to a month, a year or a range: widest interval taken'),
  'implied-removal': mark('No removal recorded; the next installation ends it, reason unknown'),
} as const satisfies Record<string, ObservationRuleText>;

type RuleTable = typeof OBSERVATION_RULES;
export type ObservationRule = {
  [K in keyof RuleTable]: RuleTable[K]['kind'] extends 'reading' ? K : never;
}[keyof RuleTable];
export type ObservationMark = Exclude<keyof RuleTable, ObservationRule>;

function reading(label: string, used: boolean) {
  return { label, used, kind: 'reading' as const };
}
function mark(label: string) {
  return { label, used: true, kind: 'mark' as const };
}
