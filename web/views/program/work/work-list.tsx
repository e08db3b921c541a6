import type { Program } from '../../../../server/schemas/program.ts';
import type { Scenario } from '../../../../server/schemas/scenario.ts';
import { Answered, Empty } from '../../shared/states.tsx';
import { useProgram } from '../use-program.ts';
import { useProgramView } from '../use-program-view.ts';
import { ChoicesBar } from './choices-bar.tsx';
import { Trial } from './trial.tsx';
import { useChoices } from './use-choices.ts';
import './work.css';
import { WorkTable } from './work-table.tsx';

/** Every reseal of the program with its reason; what is moved by hand is solved again before it is kept. */
export function WorkList({ scenario, scenarios }: { scenario: Scenario; scenarios: readonly Scenario[] }) {
  const program = useProgram(scenario);
  return (
    <Answered query={program} what="the program">
      {(data) =>
        data ? (
          <Work scenario={scenario} scenarios={scenarios} program={data} />
        ) : (
          <div className="card">
            <Empty title="No work yet">
              <p>Make the program with the button above; its work is then listed here.</p>
            </Empty>
          </div>
        )
      }
    </Answered>
  );
}

function Work({
  scenario,
  scenarios,
  program,
}: {
  scenario: Scenario;
  scenarios: readonly Scenario[];
  program: Program;
}) {
  const choices = useChoices(scenario);
  const [{ trialId }] = useProgramView();
  const trial = scenarios.find(({ id }) => id === trialId) ?? null;
  return (
    <div className="stack">
      {trial && <Trial scenario={scenario} trial={trial} program={program} forget={choices.undo} />}
      <section className="card stack work" aria-labelledby="work-title">
        <h2 id="work-title" className="unseen">
          Work list
        </h2>
        <WorkTable program={program} choices={choices} />
      </section>
      {choices.changes.length > 0 && !trial && (
        <ChoicesBar scenario={scenario} scenarios={scenarios} choices={choices} />
      )}
    </div>
  );
}
