import { useQuery } from '@tanstack/react-query';
import type { ReactNode } from 'react';
import type { EvidenceReport } from '../../../server/schemas/evidence.ts';
import { startEvidence } from '../../api/evidence.ts';
import { describeError } from '../../api/request.ts';
import { formatDay, formatShare } from '../../state/format.ts';
import { activeJobs } from '../../state/jobs.ts';
import { FAMILY_LABELS, INSPECTION_METHOD_LABELS, labelOf } from '../../state/words.ts';
import { JobLine } from '../data/job-line.tsx';
import { useJobs, useStartJob } from '../data/use-jobs.ts';
import { Page } from '../shared/page.tsx';
import { versionQuery } from '../shared/queries.ts';
import { Answered, Banner, Empty } from '../shared/states.tsx';
import { Link } from '../shared/url.tsx';
import { evidenceQuery } from './evidence-query.ts';
import './evidence.css';

/** A screen over the evidence: its making, its age, and what to do while there is none. */
export function EvidenceFrame({
  title,
  lede,
  children,
}: {
  title: string;
  lede: string;
  children: (report: EvidenceReport) => ReactNode;
}) {
  const evidence = useQuery(evidenceQuery);
  return (
    <Page title={title} lede={lede}>
      <Answered query={evidence} what="the evidence">
        {(report) =>
          report ? (
            <>
              <Staleness report={report} />
              {children(report)}
              <Origin report={report} />
            </>
          ) : (
            <NoEvidence />
          )
        }
      </Answered>
    </Page>
  );
}

/** Evidence is about one model: says so when there is a newer one, or newer records. */
function Staleness({ report }: { report: EvidenceReport }) {
  const { data: version } = useQuery(versionQuery);
  if (!version) return null;
  const newerModel = version.modelVersion !== null && version.modelVersion > report.modelVersion;
  if (!newerModel && version.dataVersion <= report.dataVersion) return null;
  return (
    <Banner kind="caution">
      <strong>
        {newerModel
          ? `This is about model ${report.modelVersion}; forecasts now come from model ${version.modelVersion}.`
          : 'Records have changed since this was made.'}
      </strong>
      <span>
        {newerModel ? 'Make the evidence again to judge the new one.' : 'Forecast again first, then make the evidence.'}
      </span>
      <MakeEvidence label="Make the evidence again" />
    </Banner>
  );
}

/** Days of a sentence of the server, said as the screens say them. */
const withDays = (sentence: string): string => sentence.replace(/\d{4}-\d{2}-\d{2}/g, formatDay);

/** What the evidence was made from, and the way to make it anew. */
function Origin({ report }: { report: EvidenceReport }) {
  const { settingsUsed: used, notes } = report;
  return (
    <section className="card stack" aria-labelledby="origin-title">
      <h2 id="origin-title">What it was made from</h2>
      <dl className="facts">
        <dt>Model</dt>
        <dd>
          version {report.modelVersion}, {FAMILY_LABELS[used.family]}; data version {report.dataVersion}
        </dd>
        <dt>Failed means</dt>
        <dd>
          {formatShare(used.failureThresholdShare)} or more of the length damaged, by{' '}
          {labelOf(INSPECTION_METHOD_LABELS, used.inspectionMethod)}
        </dd>
        <dt>Made on</dt>
        <dd>
          {formatDay(report.madeAt)}, as of {formatDay(report.planningDate)}
        </dd>
        <dt>Uncertainty</dt>
        <dd>
          {used.draws} draws of the parameters at each cut-off, seed {used.seed}: the same records give the same numbers
          again
        </dd>
      </dl>
      {notes.length > 0 && (
        <ul className="notes small">
          {notes.map((note) => (
            <li key={note}>{withDays(note)}</li>
          ))}
        </ul>
      )}
      <MakeEvidence label="Make the evidence again" />
    </section>
  );
}

function NoEvidence() {
  const { data: version } = useQuery(versionQuery);
  if (version?.modelVersion === null)
    return (
      <div className="card">
        <Empty title="No model to judge yet" action={<Link href="/service-life">Fit the model</Link>}>
          <p>Load records and fit the service-life model first; then its forecasts can be held against them.</p>
        </Empty>
      </div>
    );
  return (
    <div className="card">
      <Empty title="Not judged yet" action={<MakeEvidence label="Make the evidence" primary />}>
        <p>
          Kerfcast fits the model again to the records up to several past dates, forecasts the years after, and compares
          with what inspections then found. It runs in the background and can be stopped.
        </p>
      </Empty>
    </div>
  );
}

/** Starts the work, then shows how far it is. */
function MakeEvidence({ label, primary = false }: { label: string; primary?: boolean }) {
  const running = activeJobs(useJobs()).find(({ kind }) => kind === 'evidence');
  const make = useStartJob(startEvidence);
  if (running) return <JobLine job={running} />;
  return (
    <div className="row">
      <button
        type="button"
        className={`button${primary ? ' primary' : ''}`}
        disabled={make.isPending}
        onClick={() => make.mutate()}
      >
        {label}
      </button>
      {make.isError && <p className="field-error">{describeError(make.error)}</p>}
    </div>
  );
}
