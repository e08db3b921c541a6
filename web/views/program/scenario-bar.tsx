import { useQuery } from '@tanstack/react-query';
import type { Scenario } from '../../../server/schemas/scenario.ts';
import { formatDay } from '../../state/format.ts';
import { QUESTION_LABELS, scenarioState, scenarioSummary } from '../../state/program-words.ts';
import { Field } from '../shared/controls.tsx';
import { settingsQuery, versionQuery } from '../shared/queries.ts';
import { MakeProgram } from './make-program.tsx';
import { ScenarioActions } from './scenario-actions.tsx';
import type { ProgramViewChange } from './use-program-view.ts';

interface Props {
  readonly scenario: Scenario;
  readonly scenarios: readonly Scenario[];
  readonly setView: ProgramViewChange;
}

/** The chosen scenario on top of every part: which it is, what it asks, whether its program still holds. */
export function ScenarioBar({ scenario, scenarios, setView }: Props) {
  const { data: settings } = useQuery(settingsQuery);
  return (
    <section className="card program-bar" aria-label="Scenario">
      <div className="program-bar-head">
        <Field label="Scenario">
          {(control) => (
            <select
              {...control}
              className="select"
              value={scenario.id}
              onChange={({ target }) => setView({ scenarioId: target.value })}
            >
              {scenarios.map(({ id, name, locked }) => (
                <option key={id} value={id}>
                  {name}
                  {locked ? ' (locked)' : ''}
                </option>
              ))}
            </select>
          )}
        </Field>
        <ScenarioBadges scenario={scenario} />
        <ScenarioActions {...{ scenario, scenarios, setView }} />
      </div>
      <MakeProgram scenario={scenario}>
        <p className="small program-summary">
          <strong>{QUESTION_LABELS[scenario.inputs.question]}.</strong>{' '}
          {settings && scenarioSummary(scenario, settings.currency)}
          {scenario.note !== '' && <span className="soft program-note">{scenario.note}</span>}
        </p>
      </MakeProgram>
    </section>
  );
}

/** Locked or not; its program up to date or not. */
export function ScenarioBadges({ scenario }: { scenario: Scenario }) {
  const { data: version } = useQuery(versionQuery);
  const { state, words } = scenarioState(scenario, version);
  return (
    <span className="row program-badges">
      {scenario.locked && <span className="badge">locked</span>}
      <span className={`badge ${state === 'current' ? 'accent' : state === 'stale' ? 'chalk' : ''}`}>{words}</span>
      {scenario.program && <span className="small soft">made {formatDay(scenario.program.madeAt)}</span>}
    </span>
  );
}
