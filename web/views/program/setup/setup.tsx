import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { Scenario, ScenarioDefaults, ScenarioInputs } from '../../../../server/schemas/scenario.ts';
import { ApiProblem } from '../../../api/request.ts';
import { editScenario, startProgram } from '../../../api/scenarios.ts';
import type { ScenarioDraft } from '../../../state/scenario-draft.ts';
import { type FieldProblems, placeServerProblems, readScenario } from '../../../state/scenario-read.ts';
import { useStartJob } from '../../data/use-jobs.ts';
import { DraftActions } from '../../shared/draft-actions.tsx';
import type { DraftState } from '../../shared/kept-drafts.ts';
import { Overtaken, SaveProblems, SetupFrame } from '../../shared/setup-frame.tsx';
import { Answered, Banner } from '../../shared/states.tsx';
import { scenarioDefaultsQuery } from '../program-queries.ts';
import { useScenarioDraft } from '../use-draft.ts';
import { useScenarioChange } from '../use-scenarios.ts';
import { GROUPS, groupOfPlace } from './groups.tsx';
import './setup.css';

/** All inputs of a scenario, typed, checked and saved. */
export function Setup({ scenario }: { scenario: Scenario }) {
  const defaults = useQuery(scenarioDefaultsQuery);
  return (
    <Answered query={defaults} what="the defaults">
      {(data) => <SetupForm key={scenario.id} scenario={scenario} defaults={data} />}
    </Answered>
  );
}

function SetupForm({ scenario, defaults }: { scenario: Scenario; defaults: ScenarioDefaults }) {
  const state = useScenarioDraft(scenario);
  const { draft, change } = state;
  const { inputs, problems: typed } = readScenario(draft, scenario.inputs);
  const save = useSave(scenario, state);
  const problems: FieldProblems = { ...save.refused, ...typed };
  const groups = GROUPS.map(({ id, title, Fields }) => ({
    ...{ id, title },
    faults: Object.keys(problems).filter((place) => groupOfPlace(place) === id).length,
    fields: <Fields draft={draft} change={change} problems={problems} defaults={defaults} scenario={scenario} />,
  }));
  const mend = Object.keys(typed).length > 0;
  return (
    <SetupFrame
      legend={`Inputs of ${scenario.name}`}
      disabled={scenario.locked}
      groups={groups}
      onSubmit={() => {
        if (!mend) save.run(inputs, false);
      }}
      notices={
        <>
          {scenario.locked && <Banner>This scenario is locked: unlock it, or duplicate it and change the copy.</Banner>}
          {state.overtaken && <Overtaken what="This scenario" state={state} />}
        </>
      }
      foot={
        <>
          <SaveProblems error={save.error} others={save.others} />
          <DraftActions
            {...{ state, mend }}
            busy={save.isPending}
            onMake={() => save.run(inputs, true)}
            make="Save and make the program"
          />
        </>
      }
    />
  );
}

/** Saves what was typed, then makes the program if asked to. The server's refusals go beside their fields. */
function useSave(scenario: Scenario, state: DraftState<ScenarioDraft>) {
  const edit = useScenarioChange((inputs: ScenarioInputs) => editScenario(scenario, { inputs }));
  const start = useStartJob(startProgram);
  const [sent, setSent] = useState<ScenarioInputs | null>(null);
  const errors = edit.error instanceof ApiProblem ? edit.error.errors : [];
  const { problems: refused, others } = placeServerProblems(errors, sent ?? scenario.inputs);
  return {
    refused,
    others,
    error: edit.error ?? start.error,
    isPending: edit.isPending || start.isPending,
    run: (inputs: ScenarioInputs, make: boolean) => {
      setSent(inputs);
      edit.mutate(inputs, {
        onSuccess: () => {
          state.forget();
          if (make) start.mutate(scenario.id);
        },
      });
    },
  };
}
