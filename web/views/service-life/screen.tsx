import { useQuery } from '@tanstack/react-query';
import type { ModelReport } from '../../../server/schemas/model.ts';
import { modelCurvesCsvUrl } from '../../api/model.ts';
import { Page } from '../shared/page.tsx';
import { Answered, Empty } from '../shared/states.tsx';
import { Link } from '../shared/url.tsx';
import { ClassLives } from './class-lives.tsx';
import { DataUse } from './data-use.tsx';
import { Effects } from './effects.tsx';
import { FitNumbers } from './fit-numbers.tsx';
import { FitSettings } from './fit-settings.tsx';
import { FitStatusBanner } from './fit-status.tsx';
import { modelQuery } from './model-query.ts';
import { ModelSummary } from './model-summary.tsx';
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
        {(report) => (report ? <Model report={report} /> : <NoModel />)}
      </Answered>
    </Page>
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
    </>
  );
}
