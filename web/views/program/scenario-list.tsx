import { useQuery } from '@tanstack/react-query';
import type { Scenario } from '../../../server/schemas/scenario.ts';
import { formatDay } from '../../state/format.ts';
import { newestFirst } from '../../state/program-open.ts';
import { QUESTION_LABELS, scenarioSummary } from '../../state/program-words.ts';
import { DataTable } from '../shared/data-table.tsx';
import { settingsQuery } from '../shared/queries.ts';
import { NewScenario } from './scenario-actions.tsx';
import { ScenarioBadges } from './scenario-bar.tsx';
import type { ProgramViewChange } from './use-program-view.ts';

/** All scenarios, the one changed last on top. */
export function ScenarioList({ scenarios, setView }: { scenarios: readonly Scenario[]; setView: ProgramViewChange }) {
  const { data: settings } = useQuery(settingsQuery);
  return (
    <section className="card stack" aria-labelledby="scenarios-title">
      <div className="card-head">
        <h2 id="scenarios-title">Scenarios</h2>
        <NewScenario scenarios={scenarios} setView={setView} />
      </div>
      <DataTable
        caption="Scenarios, the one changed last on top"
        captionUnseen
        rows={newestFirst(scenarios)}
        rowKey={({ id }) => id}
        columns={[
          {
            key: 'name',
            head: 'Name',
            cell: (scenario) => (
              <button
                type="button"
                className="row-open"
                onClick={() =>
                  setView({ scenarioId: scenario.id, part: scenario.program === null ? 'setup' : 'answer' })
                }
              >
                {scenario.name}
              </button>
            ),
          },
          { key: 'program', head: 'Program', cell: (scenario) => <ScenarioBadges scenario={scenario} /> },
          {
            key: 'asked',
            head: 'Asked',
            cell: (scenario) => (
              <span className="words">
                {QUESTION_LABELS[scenario.inputs.question]}
                <span className="step">{settings && scenarioSummary(scenario, settings.currency)}</span>
              </span>
            ),
          },
          { key: 'note', head: 'Note', cell: ({ note }) => <span className="words">{note}</span> },
          { key: 'changed', head: 'Changed', cell: ({ changedAt }) => formatDay(changedAt) },
        ]}
      />
    </section>
  );
}
