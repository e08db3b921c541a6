import { useQuery } from '@tanstack/react-query';
import { useEffect } from 'react';
import type { ClosurePlan } from '../../../server/schemas/closures.ts';
import { chosenPlan, closurePartFor } from '../../state/closure-open.ts';
import { CLOSURE_PARTS, type ClosurePart } from '../../state/closure-view.ts';
import { LazySegmentPanel } from '../card/lazy-panel.tsx';
import { scenariosQuery } from '../program/program-queries.ts';
import { Tabs } from '../shared/controls.tsx';
import { Page } from '../shared/page.tsx';
import { versionQuery } from '../shared/queries.ts';
import { Answered, Banner, Empty } from '../shared/states.tsx';
import { Link, useView } from '../shared/url.tsx';
import { plansQuery } from './closure-queries.ts';
import './closures.css';
import { NewPlan } from './new-plan.tsx';
import { PlanBar } from './plan-bar.tsx';
import { PlanList } from './plan-list.tsx';
import { SchedulePart } from './schedule/schedule.tsx';
import { ClosureSetup } from './setup/closure-setup.tsx';
import { useClosureView } from './use-closure-view.ts';

/** When each facility closes, for what work, and whether it will finish. */
export function ClosuresScreen() {
  const plans = useQuery(plansQuery);
  const [{ segmentId }, setMapView] = useView();
  return (
    <div className="program-screen">
      <Page
        title="Closures"
        lede="When each facility closes, for what work, and how likely it is to finish: a year of the program as dated closures under the rules of your operation, its crews and its weather."
      >
        <Answered query={plans} what="the closure plans">
          {(list) => (list.length === 0 ? <NoPlan /> : <Parts plans={list} />)}
        </Answered>
      </Page>
      {segmentId !== null && (
        <LazySegmentPanel mapLink segmentId={segmentId} onClose={() => setMapView({ segmentId: null })} />
      )}
    </div>
  );
}

function Parts({ plans }: { plans: readonly ClosurePlan[] }) {
  const [view, setView] = useClosureView();
  const plan = chosenPlan(plans, view);
  const part = closurePartFor(view, plan);
  // A link that is sent says which plan it is about, also when none was chosen by hand.
  useEffect(() => {
    if (view.planId === null && part !== 'plans' && plan) setView({ planId: plan.id, part }, { replace: true });
  }, [view.planId, part, plan, setView]);
  return (
    <>
      {view.planId !== null && plan?.id !== view.planId && (
        <Banner kind="caution">There is no closure plan {view.planId} any more. Choose another below.</Banner>
      )}
      {part !== 'plans' && plan && <PlanBar plan={plan} plans={plans} setView={setView} />}
      <Tabs<ClosurePart>
        label="Parts of this screen"
        value={part}
        choices={CLOSURE_PARTS}
        onChange={(next) => setView({ part: next, planId: plan?.id ?? null }, { replace: true })}
      >
        {part === 'plans' && <PlanList plans={plans} setView={setView} />}
        {part === 'setup' && plan && <ClosureSetup key={plan.id} plan={plan} />}
        {part === 'schedule' && plan && <SchedulePart key={plan.id} plan={plan} />}
      </Tabs>
    </>
  );
}

function NoPlan() {
  const [, setView] = useClosureView();
  const { data: version } = useQuery(versionQuery);
  const scenarios = useQuery(scenariosQuery);
  if (scenarios.data && !scenarios.data.some(({ program }) => program !== null))
    return (
      <div className="card">
        <Empty
          title="No program to schedule yet"
          action={
            version && version.modelVersion === null ? (
              <Link href="/data">Load files</Link>
            ) : (
              <Link href="/program">Make a program</Link>
            )
          }
        >
          <p>
            Closures are scheduled from the work of one year of a program. Load records, fit the model, and make a
            program first.
          </p>
        </Empty>
      </div>
    );
  return (
    <div className="card">
      <Empty title="No closure plan yet" action={<NewPlan primary plans={[]} setView={setView} />}>
        <p>
          A closure plan holds the rules of the operation: which facilities may not close together, when each may close,
          who works and how fast. The first starts from defaults, each with its reason; then make its schedule.
        </p>
      </Empty>
    </div>
  );
}
