import type { ClosureRules } from '../../../../server/schemas/closure-rules.ts';
import type { ClosureDefaults } from '../../../../server/schemas/closures.ts';
import type { Facility } from '../../../../server/schemas/facility.ts';
import type { RulesDraft } from '../../../state/closure-rules-draft.ts';
import type { FieldProblems } from '../../../state/scenario-read.ts';

/** What every group of the form is given. */
export interface RulesProps {
  readonly draft: RulesDraft;
  readonly put: (draft: RulesDraft) => void;
  /** Changes some of the rules; numbers that are typed go through `NumberAt`. */
  readonly set: (part: Partial<ClosureRules>) => void;
  readonly problems: FieldProblems;
  readonly defaults: ClosureDefaults;
  readonly facilities: readonly Facility[];
  /** Those that have work in the plan's year and take part, and those that the rules name. */
  readonly inPlan: readonly Facility[];
  readonly nameOf: (facilityId: string) => string;
}
