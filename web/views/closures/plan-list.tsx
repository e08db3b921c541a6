import type { ClosurePlan } from '../../../server/schemas/closures.ts';
import { formatDay } from '../../state/format.ts';
import { newestFirst } from '../../state/program-open.ts';
import { DataTable } from '../shared/data-table.tsx';
import { NewPlan } from './new-plan.tsx';
import { PlanBadges, PlanSource } from './plan-bar.tsx';
import type { ClosureViewChange } from './use-closure-view.ts';

/** All closure plans, the one changed last on top. */
export function PlanList({ plans, setView }: { plans: readonly ClosurePlan[]; setView: ClosureViewChange }) {
  return (
    <section className="card stack" aria-labelledby="plans-title">
      <div className="card-head">
        <h2 id="plans-title">Closure plans</h2>
        <NewPlan plans={plans} setView={setView} />
      </div>
      <DataTable
        caption="Closure plans, the one changed last on top"
        captionUnseen
        rows={newestFirst(plans)}
        rowKey={({ id }) => id}
        columns={[
          {
            key: 'name',
            head: 'Name',
            cell: ({ id, name, schedule }) => (
              <button
                type="button"
                className="row-open"
                onClick={() => setView({ planId: id, part: schedule === null ? 'setup' : 'schedule' })}
              >
                {name}
              </button>
            ),
          },
          { key: 'schedule', head: 'Schedule', cell: (plan) => <PlanBadges plan={plan} /> },
          { key: 'work', head: 'Work', cell: (plan) => <PlanSource plan={plan} /> },
          { key: 'note', head: 'Note', cell: ({ note }) => <span className="words">{note}</span> },
          { key: 'changed', head: 'Changed', cell: ({ changedAt }) => formatDay(changedAt) },
        ]}
      />
    </section>
  );
}
