import { useQuery } from '@tanstack/react-query';
import { useEffect } from 'react';
import type { Scenario } from '../../../server/schemas/scenario.ts';
import { chosenScenario, partFor } from '../../state/program-open.ts';
import { PROGRAM_PARTS, type ProgramPart } from '../../state/program-view.ts';
import { LazySegmentPanel } from '../card/lazy-panel.tsx';
import { Tabs } from '../shared/controls.tsx';
import { Page } from '../shared/page.tsx';
import { versionQuery } from '../shared/queries.ts';
import { Answered, Banner, Empty } from '../shared/states.tsx';
import { Link, useView } from '../shared/url.tsx';
import { Answer } from './answer/answer.tsx';
import { Compare } from './compare/compare.tsx';
import './program.css';
import { scenariosQuery } from './program-queries.ts';
import { NewScenario } from './scenario-actions.tsx';
import { ScenarioBar } from './scenario-bar.tsx';
import { ScenarioList } from './scenario-list.tsx';
import { Setup } from './setup/setup.tsx';
import { useProgramView } from './use-program-view.ts';
import { WorkList } from './work/work-list.tsx';

/** The resealing program: scenarios, their answers, the work, and one beside another. */
export function ProgramScreen() {
  const scenarios = useQuery(scenariosQuery);
  const [{ segmentId }, setMapView] = useView();
  return (
    <div className="program-screen">
      <Page
        title="Program"
        lede="What to reseal when, and with what, under your budgets: the work of each year with its reason, what it costs, and how far it can be from the best there is."
      >
        <Answered query={scenarios} what="the scenarios">
          {(list) => (list.length === 0 ? <NoScenario /> : <Parts scenarios={list} />)}
        </Answered>
      </Page>
      {segmentId !== null && (
        <LazySegmentPanel mapLink segmentId={segmentId} onClose={() => setMapView({ segmentId: null })} />
      )}
    </div>
  );
}

function Parts({ scenarios }: { scenarios: readonly Scenario[] }) {
  const [view, setView] = useProgramView();
  const scenario = chosenScenario(scenarios, view);
  const part = partFor(view, scenario);
  // A link that is sent says which scenario it is about, also when none was chosen by hand.
  useEffect(() => {
    if (view.scenarioId === null && part !== 'scenarios' && scenario)
      setView({ scenarioId: scenario.id, part }, { replace: true });
  }, [view.scenarioId, part, scenario, setView]);
  return (
    <>
      {view.scenarioId !== null && scenario?.id !== view.scenarioId && (
        <Banner kind="caution">There is no scenario {view.scenarioId} any more. Choose another below.</Banner>
      )}
      {part !== 'scenarios' && scenario && <ScenarioBar scenario={scenario} scenarios={scenarios} setView={setView} />}
      <Tabs<ProgramPart>
        label="Parts of this screen"
        value={part}
        choices={PROGRAM_PARTS}
        onChange={(next) => setView({ part: next, scenarioId: scenario?.id ?? null }, { replace: true })}
      >
        {part === 'scenarios' && <ScenarioList scenarios={scenarios} setView={setView} />}
        {part === 'setup' && scenario && <Setup scenario={scenario} />}
        {part === 'answer' && scenario && <Answer scenario={scenario} />}
        {part === 'work' && scenario && <WorkList scenario={scenario} scenarios={scenarios} />}
        {part === 'compare' && scenario && <Compare scenario={scenario} scenarios={scenarios} />}
      </Tabs>
    </>
  );
}

function NoScenario() {
  const [, setView] = useProgramView();
  const { data: version } = useQuery(versionQuery);
  if (version && version.modelVersion === null)
    return (
      <div className="card">
        <Empty title="No forecast to plan from yet" action={<Link href="/data">Load files</Link>}>
          <p>
            A program follows from the forecast. Load segments, seals and inspections, then fit on the screen{' '}
            <Link href="/service-life">Service life</Link>.
          </p>
        </Empty>
      </div>
    );
  return (
    <div className="card">
      <Empty title="No scenario yet" action={<NewScenario primary scenarios={[]} setView={setView} />}>
        <p>
          A scenario holds what is asked: years, budgets, prices, and what is already decided. The first starts from
          defaults made from your settings and network, each with its reason; then make its program.
        </p>
      </Empty>
    </div>
  );
}
