import { useQuery } from '@tanstack/react-query';
import type { ClosurePlan } from '../../../server/schemas/closures.ts';
import { planState } from '../../state/closure-open.ts';
import { formatDay } from '../../state/format.ts';
import { scenariosQuery } from '../program/program-queries.ts';
import { Field } from '../shared/controls.tsx';
import { MakeSchedule } from './make-schedule.tsx';
import { PlanActions } from './plan-actions.tsx';
import type { ClosureViewChange } from './use-closure-view.ts';

interface Props {
  readonly plan: ClosurePlan;
  readonly plans: readonly ClosurePlan[];
  readonly setView: ClosureViewChange;
}

/** The chosen plan on top of every part: which it is, whose work it schedules, whether its schedule still holds. */
export function PlanBar({ plan, plans, setView }: Props) {
  return (
    <section className="card program-bar" aria-label="Closure plan">
      <div className="program-bar-head">
        <Field label="Closure plan">
          {(control) => (
            <select
              {...control}
              className="select"
              value={plan.id}
              onChange={({ target }) => setView({ planId: target.value })}
            >
              {plans.map(({ id, name }) => (
                <option key={id} value={id}>
                  {name}
                </option>
              ))}
            </select>
          )}
        </Field>
        <PlanBadges plan={plan} />
        <PlanActions {...{ plan, plans, setView }} />
      </div>
      <MakeSchedule plan={plan}>
        <p className="small program-summary">
          <PlanSource plan={plan} />
          {plan.note !== '' && <span className="soft program-note">{plan.note}</span>}
        </p>
      </MakeSchedule>
    </section>
  );
}

/** Whose work it schedules: "Work of 2027 in the program Base budget". */
export function PlanSource({ plan }: { plan: ClosurePlan }) {
  const { data: scenarios } = useQuery(scenariosQuery);
  const name = scenarios?.find(({ id }) => id === plan.rules.scenarioId)?.name;
  return (
    <>
      Work of <strong>{plan.rules.year}</strong>{' '}
      {scenarios && name === undefined ? 'of a program that has been deleted' : <>in the program {name ?? '…'}</>}
    </>
  );
}

export function PlanBadges({ plan }: { plan: ClosurePlan }) {
  const { state, words } = planState(plan);
  return (
    <span className="row program-badges">
      <span className={`badge ${state === 'current' ? 'accent' : state === 'stale' ? 'chalk' : ''}`}>{words}</span>
      {plan.schedule && <span className="small soft">made {formatDay(plan.schedule.madeAt)}</span>}
    </span>
  );
}
