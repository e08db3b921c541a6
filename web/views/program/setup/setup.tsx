import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { Scenario, ScenarioDefaults, ScenarioInputs } from '../../../../server/schemas/scenario.ts';
import { ApiProblem, describeError } from '../../../api/request.ts';
import { editScenario, startProgram } from '../../../api/scenarios.ts';
import { type FieldProblems, placeServerProblems, readScenario } from '../../../state/scenario-read.ts';
import { useStartJob } from '../../data/use-jobs.ts';
import { Answered, Banner } from '../../shared/states.tsx';
import { scenarioDefaultsQuery } from '../program-queries.ts';
import { type DraftState, useScenarioDraft } from '../use-draft.ts';
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
  const { draft, touched, change } = state;
  const { inputs, problems: typed } = readScenario(draft, scenario.inputs);
  const save = useSave(scenario, state);
  const problems: FieldProblems = { ...save.refused, ...typed };
  const groups = GROUPS.map((group) => ({
    ...group,
    faults: Object.keys(problems).filter((place) => groupOfPlace(place) === group.id).length,
  }));
  const mend = Object.keys(typed).length > 0;
  return (
    <form
      className="setup"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        if (!mend) save.run(inputs, false);
      }}
    >
      <nav className="setup-index" aria-label="Groups of inputs">
        <ol>
          {groups.map(({ id, title, faults }) => (
            <li key={id}>
              <a href={`#setup-${id}`}>{title}</a>
              {faults > 0 && (
                <span className="badge fault">
                  {faults}
                  <span className="unseen"> to mend</span>
                </span>
              )}
            </li>
          ))}
        </ol>
      </nav>
      <div className="setup-groups">
        {scenario.locked && <Banner>This scenario is locked: unlock it, or duplicate it and change the copy.</Banner>}
        {state.overtaken && <Overtaken state={state} />}
        <fieldset disabled={scenario.locked} className="setup-fields">
          <legend className="unseen">Inputs of {scenario.name}</legend>
          {groups.map(({ id, title, Fields }) => (
            <section key={id} className="card stack" id={`setup-${id}`} aria-labelledby={`setup-${id}-title`}>
              <h2 id={`setup-${id}-title`}>{title}</h2>
              <Fields draft={draft} change={change} problems={problems} defaults={defaults} scenario={scenario} />
            </section>
          ))}
        </fieldset>
        {!scenario.locked && (
          <div className="setup-foot">
            <SaveProblems error={save.error} others={save.others} />
            <div className="row">
              <button type="submit" className="button" disabled={mend || save.isPending || !touched || state.overtaken}>
                Save
              </button>
              <button
                type="button"
                className="button primary"
                disabled={mend || save.isPending || state.overtaken}
                onClick={() => save.run(inputs, true)}
              >
                {touched ? 'Save and make the program' : 'Make the program'}
              </button>
              {touched && (
                <button type="button" className="button quiet" onClick={state.forget}>
                  Undo changes
                </button>
              )}
              <span className="small soft" role="status">
                {mend ? 'Mend the marked fields first.' : touched ? 'Not saved yet.' : ''}
              </span>
            </div>
          </div>
        )}
      </div>
    </form>
  );
}

/** The scenario was changed elsewhere while this form was filled in. */
const Overtaken = ({ state }: { state: DraftState }) => (
  <Banner kind="caution">
    <strong>This scenario was changed elsewhere since you began to type.</strong>
    <button type="button" className="button" onClick={state.forget}>
      Show it as it is now
    </button>
    <button type="button" className="button" onClick={state.carryOn}>
      Put mine over it
    </button>
  </Banner>
);

const SaveProblems = ({ error, others }: { error: unknown; others: readonly string[] }) =>
  error === null ? null : (
    <Banner kind="fault">
      <span>{others.length > 0 ? others.join(' ') : describeError(error)}</span>
    </Banner>
  );

/** Saves what was typed, then makes the program if asked to. The server's refusals go beside their fields. */
function useSave(scenario: Scenario, state: DraftState) {
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
      const then = () => {
        state.forget();
        if (make) start.mutate(scenario.id);
      };
      if (state.touched) edit.mutate(inputs, { onSuccess: then });
      else then();
    },
  };
}
