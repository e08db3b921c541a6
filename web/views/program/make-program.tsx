import { useQuery } from '@tanstack/react-query';
import type { ReactNode } from 'react';
import type { Scenario } from '../../../server/schemas/scenario.ts';
import { describeError } from '../../api/request.ts';
import { startProgram } from '../../api/scenarios.ts';
import { activeJobs, describeJob } from '../../state/jobs.ts';
import { isProgramJobOf } from '../../state/program-job.ts';
import { scenarioState } from '../../state/program-words.ts';
import { JobLine } from '../data/job-line.tsx';
import { useJobs, useStartJob } from '../data/use-jobs.ts';
import { versionQuery } from '../shared/queries.ts';
import { Banner } from '../shared/states.tsx';
import { useDraftWaiting } from './use-draft.ts';

/** Starts the making of a scenario's program; then how far it is, with the bound and the best as they move. */
export function MakeProgram({ scenario, children }: { scenario: Scenario; children: ReactNode }) {
  const jobs = useJobs().filter((job) => isProgramJobOf(job, scenario.id));
  const [running] = activeJobs(jobs);
  const [last] = jobs;
  const { data: version } = useQuery(versionQuery);
  const start = useStartJob(startProgram);
  const unsaved = useDraftWaiting(scenario);
  const { state } = scenarioState(scenario, version);
  if (running)
    return (
      <>
        {children}
        <JobLine job={running} />
      </>
    );
  return (
    <>
      <div className="row">
        <button
          type="button"
          className={`button${state === 'current' ? '' : ' primary'}`}
          disabled={start.isPending || scenario.locked || unsaved}
          onClick={() => start.mutate(scenario.id)}
        >
          {state === 'none' ? 'Make the program' : 'Make it again'}
        </button>
        {children}
        {unsaved && <span className="small">Set up has changes that are not saved yet.</span>}
        {!unsaved && scenario.locked && (
          <span className="small soft">Locked: its program stays as it is. Duplicate it to try something else.</span>
        )}
      </div>
      {last?.state === 'failed' && <Banner kind="fault">{describeJob(last)}</Banner>}
      {last?.state === 'interrupted' && <Banner kind="caution">{describeJob(last)}</Banner>}
      {start.isError && <Banner kind="fault">{describeError(start.error)}</Banner>}
    </>
  );
}
