import type { Scenario, ScenarioDefaults } from '../../../../server/schemas/scenario.ts';
import type { ScenarioDraft } from '../../../state/scenario-draft.ts';
import type { FieldProblems } from '../../../state/scenario-read.ts';

/** What every group of the form is given. */
export interface GroupProps {
  readonly draft: ScenarioDraft;
  readonly change: (part: Partial<ScenarioDraft>) => void;
  readonly problems: FieldProblems;
  readonly defaults: ScenarioDefaults;
  readonly scenario: Scenario;
}
