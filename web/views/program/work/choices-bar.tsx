import { useMutation } from '@tanstack/react-query';
import type { Scenario } from '../../../../server/schemas/scenario.ts';
import { describeError } from '../../../api/request.ts';
import { copyScenario, deleteScenario, editScenario, startProgram } from '../../../api/scenarios.ts';
import { formatCount } from '../../../state/format.ts';
import { freeName } from '../../../state/free-name.ts';
import { type ChoiceChange, choiceWords } from '../../../state/program-choices.ts';
import { useStartJob } from '../../data/use-jobs.ts';
import { useProgramView } from '../use-program-view.ts';
import { useScenarioNews } from '../use-scenarios.ts';
import type { ChoicesState } from './use-choices.ts';

const LISTED = 100;

interface Props {
  readonly scenario: Scenario;
  readonly scenarios: readonly Scenario[];
  readonly choices: ChoicesState;
}

/** Choices that are not solved yet: what they are, and the button that tries them out in a copy. */
export function ChoicesBar({ scenario, scenarios, choices }: Props) {
  const solve = useTrialStart(scenario, scenarios);
  const { changes } = choices;
  return (
    <section className="setup-foot" aria-label="Choices by hand">
      <div className="row">
        <strong role="status">{formatCount(changes.length, 'choice')} by hand, not solved yet.</strong>
        <button
          type="button"
          className="button primary"
          disabled={solve.isPending}
          onClick={() => solve.mutate(choices)}
        >
          Solve again around my choices
        </button>
        <button type="button" className="button" onClick={choices.undo}>
          Undo them
        </button>
      </div>
      <details>
        <summary>What was chosen</summary>
        <ul className="choice-list small">
          {changes.slice(0, LISTED).map((change) => (
            <li key={change.segmentId}>
              <span className="code">{change.segmentId}</span> {changeWords(change)}
              <button
                type="button"
                className="button quiet"
                aria-label={`Undo the choice for ${change.segmentId}`}
                onClick={() =>
                  change.before
                    ? choices.move({ segmentIds: [change.segmentId], ...change.before })
                    : choices.release([change.segmentId])
                }
              >
                Undo
              </button>
            </li>
          ))}
          {changes.length > LISTED && <li>and {formatCount(changes.length - LISTED, 'more', 'more')}</li>}
        </ul>
      </details>
      {solve.isError && <p className="field-error">{describeError(solve.error)}</p>}
    </section>
  );
}

const changeWords = ({ now }: ChoiceChange): string =>
  now === null ? 'released: the program places it again' : `resealed ${choiceWords(now)}`;

/** A copy with the choices in it is solved beside the scenario, which stays as it is. */
function useTrialStart(scenario: Scenario, scenarios: readonly Scenario[]) {
  const tell = useScenarioNews();
  const start = useStartJob(startProgram);
  const [, setView] = useProgramView();
  return useMutation({
    mutationFn: async ({ choices }: ChoicesState) => {
      const taken = scenarios.map(({ name }) => name);
      const wanted = `${scenario.name}, by hand`.slice(0, 95);
      const copy = await copyScenario(scenario.id, taken.includes(wanted) ? freeName(wanted, taken) : wanted);
      try {
        return await editScenario(copy, { inputs: { ...scenario.inputs, chosen: [...choices] } });
      } catch (error) {
        await deleteScenario(copy).catch(() => undefined); // the refusal below says more than a second one
        throw error;
      }
    },
    onSuccess: async (trial) => {
      tell(trial);
      await start.mutateAsync(trial.id);
      setView({ trialId: trial.id }, { replace: true });
    },
  });
}
