import type { Load } from '../../../server/schemas/load.ts';
import { startForecast } from '../../api/model.ts';
import { describeError } from '../../api/request.ts';
import { activeJobs } from '../../state/jobs.ts';
import { Banner } from '../shared/states.tsx';
import { JobLine } from './job-line.tsx';
import { ResultTable } from './result-table.tsx';
import { useJobs, useStartJob } from './use-jobs.ts';

/** What a load has changed, and the offer to forecast with it. */
export function LoadResult({ load, onClose }: { load: Load; onClose: () => void }) {
  const result = load.result ?? [];
  const changed = result.some(({ inserted, updated }) => inserted + updated > 0);
  return (
    <>
      <Banner>
        <strong>{changed ? 'Loaded.' : 'Loaded; nothing was different from what is stored.'}</strong>
      </Banner>
      <ResultTable result={result} />
      {changed && <RefitOffer />}
      <div className="row">
        <button type="button" className="button" onClick={onClose}>
          Load other files
        </button>
      </div>
    </>
  );
}

function RefitOffer() {
  const forecast = useStartJob(() => startForecast());
  const running = activeJobs(useJobs()).find(({ kind }) => kind === 'forecast');
  if (running) return <JobLine job={running} />;
  if (forecast.isSuccess) return null;
  return (
    <Banner kind="caution">
      <span>Service life, forecasts and budget still stand for the records as they were before.</span>
      <button
        type="button"
        className="button primary"
        disabled={forecast.isPending}
        onClick={() => forecast.mutate(undefined)}
      >
        Fit and forecast again
      </button>
      {forecast.isError && <span className="field-error">{describeError(forecast.error)}</span>}
    </Banner>
  );
}
