import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { Budget } from '../../../server/schemas/budget.ts';
import { budgetCsvUrl } from '../../api/budget.ts';
import type { BudgetView } from '../../state/budget-scale.ts';
import { Page } from '../shared/page.tsx';
import { useUnits } from '../shared/preferences.ts';
import { Answered, Empty } from '../shared/states.tsx';
import { Link } from '../shared/url.tsx';
import { Assumptions } from './assumptions.tsx';
import './budget.css';
import { BudgetChart } from './budget-chart.tsx';
import { budgetQuery } from './budget-queries.ts';
import { BudgetSummary } from './budget-summary.tsx';
import { BudgetTable } from './budget-table.tsx';
import { Prices } from './prices.tsx';
import { ViewSwitches } from './view-switches.tsx';

/** What falls due each year, what it costs, and the prices behind it. */
export function BudgetScreen() {
  const budget = useQuery(budgetQuery);
  const units = useUnits();
  return (
    <Page
      title="Budget"
      lede="What falls due each year if every seal is replaced with its like in the year in which it fails. No budget holds it back: it is the need, not yet a program."
      actions={
        budget.data && (
          <a className="button" href={budgetCsvUrl(units)} download>
            Budget table (CSV)
          </a>
        )
      }
    >
      <Answered query={budget} what="the budget">
        {(data) => (data ? <BudgetParts budget={data} /> : <NoBudget />)}
      </Answered>
      <Prices budget={budget.data ?? null} />
    </Page>
  );
}

function BudgetParts({ budget }: { budget: Budget }) {
  const [view, setView] = useState<BudgetView>({ grouping: 'total', measure: 'cost', moneyOf: 'each-year' });
  return (
    <>
      <BudgetSummary budget={budget} />
      <section className="card stack" aria-labelledby="years-title">
        <h2 id="years-title">Year by year</h2>
        <ViewSwitches budget={budget} view={view} onChange={setView} />
        <BudgetChart budget={budget} view={view} />
        <BudgetTable budget={budget} view={view} />
      </section>
      <Assumptions budget={budget} />
    </>
  );
}

const NoBudget = () => (
  <div className="card">
    <Empty title="No budget yet" action={<Link href="/data">Load files</Link>}>
      <p>
        The budget follows from the forecast. Load segments, seals and inspections, then fit on the screen{' '}
        <Link href="/service-life">Service life</Link>. Prices can be entered below at any time.
      </p>
    </Empty>
  </div>
);
