import { useQuery } from '@tanstack/react-query';
import type { ModelReport } from '../../../server/schemas/model.ts';
import { modelCurvesCsvUrl } from '../../api/model.ts';
import { MODEL_PARTS, readModelPart } from '../../state/model-parts.ts';
import { screenAddress } from '../../state/routes.ts';
import { Tabs } from '../shared/controls.tsx';
import { Page } from '../shared/page.tsx';
import { Answered, Empty } from '../shared/states.tsx';
import { Link, navigate, useAddress } from '../shared/url.tsx';
import { ClassLives } from './class-lives.tsx';
import { CompareModels } from './compare.tsx';
import { Condition } from './condition.tsx';
import { DataUse } from './data-use.tsx';
import { Effects } from './effects.tsx';
import { FitNumbers } from './fit-numbers.tsx';
import { FitSettings } from './fit-settings.tsx';
import { FitStatusBanner } from './fit-status.tsx';
import { modelQuery } from './model-query.ts';
import { ModelSummary } from './model-summary.tsx';
import { Pooling } from './pooling.tsx';
import { PriorBeliefs } from './priors.tsx';
import { ModelVersionList } from './versions.tsx';
import { Years } from './years.tsx';
import './service-life.css';

/** The fitted service-life model in words and pictures. */
export function ServiceLifeScreen() {
  const model = useQuery(modelQuery);
  return (
    <Page
      title="Service life"
      lede="How long seals last here, from installation to failure: what your inspections say, what was assumed, and how sure it is."
      actions={
        model.data && (
          <a className="button" href={modelCurvesCsvUrl()} download>
            Life curves (CSV)
          </a>
        )
      }
    >
      <Answered query={model} what="the model">
        {(report) => (report ? <Parts report={report} /> : <NoModel />)}
      </Answered>
    </Page>
  );
}

/** This model, others beside it, and those before it. Which one is open is in the address. */
function Parts({ report }: { report: ModelReport }) {
  const { path, params } = useAddress();
  const part = readModelPart(params);
  const open = (next: string) => {
    const changed = new URLSearchParams(params);
    if (next === MODEL_PARTS[0].value) changed.delete('part');
    else changed.set('part', next);
    navigate(screenAddress(path, changed), { replace: true });
  };
  return (
    <Tabs label="Parts of this screen" value={part} choices={MODEL_PARTS} onChange={open}>
      <div className="model-parts">
        {part === 'model' && <Model report={report} />}
        {part === 'priors' && <PriorBeliefs />}
        {part === 'compare' && <CompareModels />}
        {part === 'versions' && <ModelVersionList />}
      </div>
    </Tabs>
  );
}

function Model({ report }: { report: ModelReport }) {
  const { converged } = report.fit;
  return (
    <>
      <FitStatusBanner fit={report.fit} />
      {converged && <ModelSummary report={report} />}
      {converged && <ClassLives lives={report.classes} />}
      {converged && <Effects report={report} />}
      {report.condition && <Condition condition={report.condition} />}
      {report.pooling && <Pooling pooling={report.pooling} />}
      {report.years && <Years report={report.years} />}
      <DataUse rules={report.dataUse} />
      <FitSettings used={report.settingsUsed} />
      <FitNumbers report={report} />
    </>
  );
}

function NoModel() {
  return (
    <>
      <div className="card">
        <Empty title="No model has been fitted yet" action={<Link href="/data">Load files</Link>}>
          <p>
            Load segments, seals and inspections first; then fit below. One inspection of each seal is enough to begin.
          </p>
        </Empty>
      </div>
      <FitSettings used={null} />
      <PriorBeliefs />
    </>
  );
}
