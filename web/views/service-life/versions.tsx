import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { ModelVersion, ModelVersions } from '../../../server/schemas/models.ts';
import { adoptVersion } from '../../api/models.ts';
import { describeError } from '../../api/request.ts';
import { formatDay, formatNumber } from '../../state/format.ts';
import { versionSettings, versionsDiffer } from '../../state/model-versions.ts';
import { INSPECTION_METHOD_LABELS, labelOf } from '../../state/words.ts';
import { useStartJob } from '../data/use-jobs.ts';
import { type Column, DataTable } from '../shared/data-table.tsx';
import { Dialog } from '../shared/dialog.tsx';
import { Answered, Banner } from '../shared/states.tsx';
import { JobPart } from './job-part.tsx';
import { modelVersionsQuery } from './model-queries.ts';

/** All versions of the model, which of them is in use, and a way back to any. */
export function ModelVersionList() {
  const versions = useQuery(modelVersionsQuery);
  return (
    <section className="card stack" aria-labelledby="versions-title">
      <h2 id="versions-title">Versions of the model</h2>
      <p>
        Each fit is kept as a version. Forecasts, budgets and exports name the version that they come from. On the same
        records an old version gives the same numbers again.
      </p>
      <Answered query={versions} what="the versions">
        {(data) => <Versions {...data} />}
      </Answered>
    </section>
  );
}

function Versions({ versions, note }: ModelVersions) {
  const [chosen, choose] = useState<ModelVersion | null>(null);
  const adopt = useStartJob((version: number) => adoptVersion(version));
  const current = versions.find((version) => version.current);
  if (versions.length === 0) return <p>No model has been fitted yet.</p>;
  return (
    <>
      <JobPart kinds={['adopt', 'forecast']} startError={null}>
        {null}
      </JobPart>
      <DataTable
        caption="Versions, newest first"
        captionUnseen
        rows={versions}
        rowKey={({ version }) => version}
        columns={columns({ current, use: choose })}
      />
      <p className="small soft">{note}</p>
      <Dialog
        title={`Use version ${chosen?.version ?? ''} again?`}
        open={chosen !== null}
        onClose={() => choose(null)}
        foot={
          <>
            <button type="button" className="button" onClick={() => choose(null)}>
              Keep {current ? `version ${current.version}` : 'what is in use'}
            </button>
            <button
              type="button"
              className="button primary"
              disabled={adopt.isPending}
              onClick={() => chosen && adopt.mutate(chosen.version, { onSuccess: () => choose(null) })}
            >
              Use it and forecast again
            </button>
          </>
        }
      >
        {chosen && (
          <div className="stack">
            <p>
              <strong>{versionSettings(chosen)}</strong>, fitted on {formatDay(chosen.fittedAt)} to data version{' '}
              {chosen.dataVersion}.
            </p>
            <p>
              Its settings come back with it, and forecast, map and budget are made anew. The model itself is not fitted
              again, so records that were loaded since have not shaped it.
            </p>
            {adopt.isError && <Banner kind="fault">{describeError(adopt.error)}</Banner>}
          </div>
        )}
      </Dialog>
    </>
  );
}

function columns({
  current,
  use,
}: {
  current: ModelVersion | undefined;
  use: (version: ModelVersion) => void;
}): Column<ModelVersion>[] {
  return [
    {
      key: 'version',
      head: 'Version',
      cell: ({ version, current: inUse }) => (
        <>
          {version} {inUse && <span className="badge accent">in use</span>}
        </>
      ),
    },
    {
      key: 'use',
      head: 'Use again',
      cell: (version) =>
        version.current ? (
          <span className="soft">in use</span>
        ) : (
          <button
            type="button"
            className="button"
            aria-label={`Use version ${version.version} again`}
            onClick={() => use(version)}
          >
            Use again
          </button>
        ),
    },
    { key: 'fitted', head: 'Fitted on', cell: ({ fittedAt }) => formatDay(fittedAt) },
    {
      key: 'settings',
      head: 'Settings',
      cell: (version) => (
        <span className="words">
          {versionSettings(version)}
          <span className="step">
            {labelOf(INSPECTION_METHOD_LABELS, version.settingsUsed.inspectionMethod)};{' '}
            {version.conditionUsed ? 'learns from damaged shares' : 'soundness and failure alone'}
          </span>
        </span>
      ),
    },
    {
      key: 'score',
      head: 'Back-test log score',
      numeric: true,
      cell: ({ backTestLogScore }) => (backTestLogScore === null ? 'not tested' : formatNumber(backTestLogScore, 4)),
    },
    { key: 'aic', head: 'AIC', numeric: true, cell: ({ aic }) => formatNumber(aic, 1) },
    { key: 'bic', head: 'BIC', numeric: true, cell: ({ bic }) => formatNumber(bic, 1) },
    {
      key: 'likelihood',
      head: 'Log-likelihood',
      numeric: true,
      cell: ({ logLikelihood }) => formatNumber(logLikelihood, 2),
    },
    { key: 'parameters', head: 'Parameters', numeric: true, cell: ({ parameters }) => formatNumber(parameters) },
    {
      key: 'failures',
      head: 'Failed, of seals used',
      numeric: true,
      cell: ({ failures, observations }) => `${formatNumber(failures)} of ${formatNumber(observations)}`,
    },
    {
      key: 'compare',
      head: 'AIC and BIC compare with those in use',
      cell: (version) => <span className="words short">{comparesText(version, current)}</span>,
    },
    { key: 'data', head: 'Data version', numeric: true, cell: ({ dataVersion }) => dataVersion },
    { key: 'planning', head: 'Planning date', cell: ({ planningDate }) => formatDay(planningDate) },
  ];
}

function comparesText(version: ModelVersion, current: ModelVersion | undefined): string {
  if (!current || version.current) return '–';
  const because = versionsDiffer(version, current);
  return because === null ? 'yes' : `no: ${because}`;
}
