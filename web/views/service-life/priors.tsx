import { keepPreviousData, queryOptions, useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import type { Priors, PriorTable } from '../../../server/schemas/priors.ts';
import { startForecast } from '../../api/model.ts';
import { fetchDraftPriors, fetchPriors, fetchPriorTrial, startPriorTrial } from '../../api/priors.ts';
import { describeError } from '../../api/request.ts';
import { fetchSettings, saveSettings } from '../../api/settings.ts';
import { draftPriors, publishedDraft, readPriors, sameDraft } from '../../state/prior-edit.ts';
import { useStartJob } from '../data/use-jobs.ts';
import { settingsQuery } from '../shared/queries.ts';
import { Answered, Banner } from '../shared/states.tsx';
import { JobPart } from './job-part.tsx';
import { PriorLines } from './prior-lines.tsx';
import { PriorPicture } from './prior-picture.tsx';
import { PriorTrialResult } from './prior-trial.tsx';

const priorsQuery = queryOptions({ queryKey: ['priors'], queryFn: ({ signal }) => fetchPriors(signal) });
const trialQuery = queryOptions({ queryKey: ['prior-trial'], queryFn: ({ signal }) => fetchPriorTrial(signal) });
const draftQuery = (priors: Priors | null, enabled: boolean) =>
  queryOptions({
    queryKey: ['priors', 'draft', JSON.stringify(priors)],
    queryFn: ({ signal }) => fetchDraftPriors(priors, signal),
    placeholderData: keepPreviousData,
    enabled,
  });

/** What is believed before any data: to be read, changed, tried and fitted with. */
export function PriorBeliefs() {
  const table = useQuery(priorsQuery);
  const trial = useQuery(trialQuery);
  return (
    <Answered query={table} what="the beliefs">
      {(saved) => (
        <>
          <PriorForm key={JSON.stringify(draftPriors(saved))} saved={saved} />
          <Answered query={trial} what="the last trial">
            {(made) => <PriorTrialResult trial={made} />}
          </Answered>
        </>
      )}
    </Answered>
  );
}

function PriorForm({ saved }: { saved: PriorTable }) {
  const client = useQueryClient();
  const [draft, setDraft] = useState(() => draftPriors(saved));
  const { priors, problems } = readPriors(draft, saved);
  const changed = !sameDraft(draft, draftPriors(saved));
  const sound = problems.length === 0;
  const live = useQuery(draftQuery(priors, changed && sound));
  const shown = (changed && live.data) || saved;
  const attempt = useStartJob(() => startPriorTrial(priors));
  const fit = useStartJob(async () => {
    const settings = await saveSettings({ ...(await fetchSettings()), priors });
    client.setQueryData(settingsQuery.queryKey, settings);
    void client.invalidateQueries({ queryKey: priorsQuery.queryKey, exact: true });
    return startForecast();
  });
  return (
    <form
      className="card stack"
      noValidate
      aria-labelledby="priors-title"
      onSubmit={(event) => {
        event.preventDefault();
        if (sound) fit.mutate();
      }}
    >
      <h2 id="priors-title">What is believed before any data</h2>
      <p>
        Few agencies have seen enough failures of every class, so the fit starts from a belief, and records outweigh it
        as they come. Published lives stand here until you know better: change one, see what it says and does, and go
        back to the published value when you like.
      </p>
      <PriorPicture table={shown} />
      <PriorLines table={shown} draft={draft} problems={problems} onChange={setDraft} />
      <p className="small soft">{shown.note}</p>
      {!saved.fittedWithThese && saved.modelVersion !== null && (
        <Banner kind="caution">
          The model in use was fitted with other beliefs than those saved. Fit again to use them.
        </Banner>
      )}
      <JobPart kinds={['forecast', 'prior-trial']} startError={attempt.error ?? fit.error}>
        <div className="row">
          <button type="submit" className="button primary" disabled={!sound || fit.isPending}>
            {changed ? 'Save and fit again' : 'Fit again with these'}
          </button>
          <button
            type="button"
            className="button"
            disabled={!sound || !changed || attempt.isPending}
            onClick={() => attempt.mutate()}
          >
            Try without saving
          </button>
          <button type="button" className="button" disabled={!changed} onClick={() => setDraft(draftPriors(saved))}>
            Discard changes
          </button>
          <button
            type="button"
            className="button"
            disabled={sameDraft(draft, publishedDraft(saved))}
            onClick={() => setDraft(publishedDraft(saved))}
          >
            All as published
          </button>
          <span className="small soft" role="status">
            {sound ? '' : `${problems.length} to mend in the table.`}
          </span>
        </div>
      </JobPart>
      {live.isError && <Banner kind="fault">{describeError(live.error)}</Banner>}
    </form>
  );
}
