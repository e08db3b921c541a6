import { useState } from 'react';
import type { Program } from '../../../../server/schemas/program.ts';
import type { Scenario } from '../../../../server/schemas/scenario.ts';
import type { MoneyOf } from '../../../state/budget-scale.ts';
import { Switch } from '../../shared/controls.tsx';
import { Answered, Banner, Empty } from '../../shared/states.tsx';
import { useProgram } from '../use-program.ts';
import './answer.css';
import { BudgetPrices } from './budget-prices.tsx';
import { Conflicts } from './conflicts.tsx';
import { DistrictFigure } from './district-figure.tsx';
import { FailedShareFigure } from './failed-share-figure.tsx';
import { Grounds } from './grounds.tsx';
import { Headline } from './headline.tsx';
import { ProgramTable } from './program-table.tsx';
import { SpendingFigure } from './spending-figure.tsx';
import { TakeAway } from './take-away.tsx';
import { WhereAndWhen } from './where-and-when.tsx';

/** What the program says: in a sentence, in figures, in pictures and on the map. */
export function Answer({ scenario }: { scenario: Scenario }) {
  const program = useProgram(scenario);
  return (
    <Answered query={program} what="the program">
      {(data) =>
        data ? (
          <ProgramAnswer program={data} scenario={scenario} />
        ) : (
          <div className="card">
            <Empty title="No program yet">
              <p>Look through the inputs in Set up, then make the program with the button above.</p>
            </Empty>
          </div>
        )
      }
    </Answered>
  );
}

function ProgramAnswer({ program, scenario }: { program: Program; scenario: Scenario }) {
  const infeasible = program.status === 'infeasible';
  return (
    <div className="stack answer">
      {scenario.program && !scenario.program.current && (
        <Banner kind="caution">
          This is the program as it was made. What it rests on has changed since: make it again to see the difference.
        </Banner>
      )}
      {infeasible ? <Conflicts program={program} /> : <Headline program={program} />}
      <TakeAway program={program} />
      {program.years.length > 0 && <Pictures program={program} scenario={scenario} />}
      <Grounds program={program} />
    </div>
  );
}

function Pictures({ program, scenario }: { program: Program; scenario: Scenario }) {
  const [moneyOf, setMoneyOf] = useState<MoneyOf>('each-year');
  return (
    <>
      {program.status === 'infeasible' && (
        <Banner>What follows is the nearest program: it keeps all that can be kept together.</Banner>
      )}
      <div className="row">
        <Switch
          label="Money"
          value={moneyOf}
          choices={[
            { value: 'each-year', label: 'Money of each year' },
            { value: 'price-year', label: `Constant money of ${program.priceYear}` },
          ]}
          onChange={setMoneyOf}
        />
        <span className="small soft">for the table and the pictures of spending</span>
      </div>
      <section className="card stack" aria-labelledby="table-title">
        <ProgramTable program={program} moneyOf={moneyOf} />
      </section>
      <section className="card stack">
        <SpendingFigure program={program} moneyOf={moneyOf} />
      </section>
      <section className="card stack">
        <FailedShareFigure program={program} targets={scenario.inputs.targets} />
      </section>
      <WhereAndWhen program={program} />
      <section className="card stack">
        <DistrictFigure program={program} moneyOf={moneyOf} />
      </section>
      <section className="card stack">
        <BudgetPrices program={program} />
      </section>
    </>
  );
}
