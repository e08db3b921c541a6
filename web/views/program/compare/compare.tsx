import type { Scenario } from '../../../../server/schemas/scenario.ts';
import { unlikeWords } from '../../../state/program-compare.ts';
import { MOST_COMPARED } from '../../../state/program-view.ts';
import { Banner, Empty, Failure, Loading } from '../../shared/states.tsx';
import '../answer/answer.css';
import { usePrograms } from '../use-program.ts';
import { useProgramView } from '../use-program-view.ts';
import { CompareFigure } from './compare-figure.tsx';
import { CompareTable } from './compare-table.tsx';
import './compare.css';
import { WhatChanged } from './what-changed.tsx';

/** Up to six programs side by side, always with the four baselines of the chosen scenario. */
export function Compare({ scenario, scenarios }: { scenario: Scenario; scenarios: readonly Scenario[] }) {
  const [view, setView] = useProgramView();
  const beside = view.beside.flatMap((id) => scenarios.find((each) => each.id === id && id !== scenario.id) ?? []);
  const { failed, waiting, programs } = usePrograms([scenario, ...beside]);
  return (
    <div className="stack answer">
      <Beside
        scenario={scenario}
        scenarios={scenarios}
        chosen={[scenario, ...beside].map(({ id }) => id)}
        onChange={(ids) => setView({ beside: ids })}
      />
      {failed ? (
        <Failure what="a program" error={failed.error} retry={() => void failed.refetch()} />
      ) : waiting ? (
        <Loading what="the programs" />
      ) : programs.length === 0 ? (
        <div className="card">
          <Empty title="Nothing to compare yet">
            <p>Make the program of this scenario first; then its baselines and other scenarios can stand beside it.</p>
          </Empty>
        </div>
      ) : (
        <>
          {unlikeWords(programs).map((words) => (
            <Banner key={words} kind="caution">
              {words}
            </Banner>
          ))}
          <section className="card stack" aria-labelledby="compare-years">
            <h2 id="compare-years" className="unseen">
              Year by year
            </h2>
            <CompareFigure programs={programs} />
          </section>
          <CompareTable programs={programs} />
          {programs.length > 1 && <WhatChanged programs={programs} />}
        </>
      )}
    </div>
  );
}

/** Which scenarios stand beside the chosen one. */
function Beside({
  scenario,
  scenarios,
  chosen,
  onChange,
}: {
  scenario: Scenario;
  scenarios: readonly Scenario[];
  chosen: readonly string[];
  onChange: (beside: string[]) => void;
}) {
  const others = scenarios.filter(({ id }) => id !== scenario.id);
  const full = chosen.length >= MOST_COMPARED;
  return (
    <fieldset className="card beside">
      <legend className="unseen">Scenarios beside {scenario.name}</legend>
      <span className="small label" aria-hidden="true">
        Beside {scenario.name}:
      </span>
      {others.length === 0 && (
        <span className="small soft">there is no other scenario yet. Duplicate this one and change the copy.</span>
      )}
      {others.map(({ id, name, program }) => {
        const on = chosen.includes(id);
        return (
          <label key={id} className="check">
            <input
              type="checkbox"
              checked={on}
              disabled={!on && (program === null || full)}
              onChange={() => onChange(on ? chosen.slice(1).filter((each) => each !== id) : [...chosen.slice(1), id])}
            />
            {name}
            {program === null && <span className="small soft">(no program yet)</span>}
          </label>
        );
      })}
      {full && <span className="small soft">Six at most.</span>}
    </fieldset>
  );
}
