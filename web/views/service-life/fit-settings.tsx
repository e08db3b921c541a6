import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import type { ModelReport } from '../../../server/schemas/model.ts';
import type { Settings } from '../../../server/schemas/settings.ts';
import { startForecast } from '../../api/model.ts';
import { describeError } from '../../api/request.ts';
import { saveSettings } from '../../api/settings.ts';
import { draftFit, type FitDraft, readFit } from '../../state/fit-edit.ts';
import { activeJobs } from '../../state/jobs.ts';
import { CONDITION_MODEL_LABELS, COVARIATE_LABELS, leftOutText, POOLING_LABELS } from '../../state/model-words.ts';
import { FAMILY_LABELS, INSPECTION_METHOD_LABELS, labelOf } from '../../state/words.ts';
import { JobLine } from '../data/job-line.tsx';
import { useJobs, useStartJob } from '../data/use-jobs.ts';
import { Field } from '../shared/controls.tsx';
import { settingsQuery } from '../shared/queries.ts';
import { Answered, Banner } from '../shared/states.tsx';

/** The choices that the fit follows, and the button that fits again. */
export function FitSettings({ used }: { used: ModelReport['settingsUsed'] | null }) {
  const settings = useQuery(settingsQuery);
  return (
    <section className="card stack" aria-labelledby="fit-title">
      <h2 id="fit-title">{used ? 'Fit again' : 'Fit'}</h2>
      <Answered query={settings} what="the settings">
        {(data) => <FitForm key={JSON.stringify(data)} settings={data} used={used} />}
      </Answered>
    </section>
  );
}

function FitForm({ settings, used }: { settings: Settings; used: ModelReport['settingsUsed'] | null }) {
  const client = useQueryClient();
  const [draft, setDraft] = useState(() => draftFit(settings));
  const read = readFit(draft, settings);
  const running = activeJobs(useJobs()).find(({ kind }) => kind === 'forecast');
  const fit = useStartJob(async () => {
    const saved = await saveSettings(read.settings);
    client.setQueryData(settingsQuery.queryKey, saved);
    return startForecast();
  });
  return (
    <form
      className="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        if (read.problems.length === 0) fit.mutate(undefined);
      }}
    >
      <FitFields draft={draft} problems={read.problems} onChange={(part) => setDraft({ ...draft, ...part })} />
      {settings.leftOutCovariates.length > 0 && (
        <p className="small">
          Covariates left out: {leftOutText(settings.leftOutCovariates.map((name) => labelOf(COVARIATE_LABELS, name)))}.
          “Compare models” shows what that does, and takes them in again.
        </p>
      )}
      {used && differs(used, read.settings) && (
        <Banner kind="caution">These settings are not those of the model above. Fit again to use them.</Banner>
      )}
      {running ? (
        <JobLine job={running} />
      ) : (
        <div className="row">
          <button type="submit" className="button primary" disabled={fit.isPending || read.problems.length > 0}>
            {used ? 'Fit and forecast again' : 'Fit and forecast'}
          </button>
          <span className="small soft">Forecasts, map and budget follow from it.</span>
        </div>
      )}
      {fit.isError && <Banner kind="fault">{describeError(fit.error)}</Banner>}
    </form>
  );
}

const differs = (used: ModelReport['settingsUsed'], settings: Settings): boolean =>
  used.family !== settings.family ||
  used.inspectionMethod !== settings.inspectionMethod ||
  used.failureThresholdShare !== settings.failureThresholdShare ||
  (used.conditionModel ?? 'off') !== settings.conditionModel ||
  (used.pooling ?? 'off') !== settings.pooling ||
  JSON.stringify(used.priors ?? null) !== JSON.stringify(settings.priors) ||
  namesOf(used.leftOutCovariates ?? []) !== namesOf(settings.leftOutCovariates);

const namesOf = (names: readonly string[]): string => [...names].sort().join(' ');

interface FieldsProps {
  draft: FitDraft;
  problems: ReturnType<typeof readFit>['problems'];
  onChange: (part: Partial<FitDraft>) => void;
}

function FitFields({ draft, problems, onChange }: FieldsProps) {
  const errorOf = (field: keyof FitDraft) => problems.find((problem) => problem.field === field)?.message;
  return (
    <div className="grid fit-fields">
      <Field label="Family of the life distribution" hint="Weibull suits wear that grows with age">
        {(control) => (
          <select
            {...control}
            className="select"
            value={draft.family}
            onChange={({ target }) => onChange({ family: target.value as FitDraft['family'] })}
          >
            {Object.entries(FAMILY_LABELS).map(([word, label]) => (
              <option key={word} value={word}>
                {label}
              </option>
            ))}
          </select>
        )}
      </Field>
      <Field
        label="Failed from a damaged share of, %"
        hint="10 %: high severity in ASTM D5340 and D6433"
        error={errorOf('thresholdPercent')}
      >
        {(control) => (
          <input
            {...control}
            className="input numeric"
            inputMode="decimal"
            value={draft.thresholdPercent}
            onChange={({ target }) => onChange({ thresholdPercent: target.value })}
          />
        )}
      </Field>
      <Field label="Inspections by the method" hint="Ratings by two methods are never merged">
        {(control) => (
          <select
            {...control}
            className="select"
            value={draft.inspectionMethod}
            onChange={({ target }) => onChange({ inspectionMethod: target.value as FitDraft['inspectionMethod'] })}
          >
            {Object.entries(INSPECTION_METHOD_LABELS).map(([word, label]) => (
              <option key={word} value={word}>
                {label}
              </option>
            ))}
          </select>
        )}
      </Field>
      <Field label="Damage below that share" hint="20 % damaged at 6 years is not 0 % at 6 years">
        {(control) => (
          <select
            {...control}
            className="select"
            value={draft.conditionModel}
            onChange={({ target }) => onChange({ conditionModel: target.value as FitDraft['conditionModel'] })}
          >
            {Object.entries(CONDITION_MODEL_LABELS).map(([word, label]) => (
              <option key={word} value={word}>
                {label}
              </option>
            ))}
          </select>
        )}
      </Field>
      <Field label="Districts, facilities and lots" hint="Seals of one may all last longer or shorter">
        {(control) => (
          <select
            {...control}
            className="select"
            value={draft.pooling}
            onChange={({ target }) => onChange({ pooling: target.value as FitDraft['pooling'] })}
          >
            {Object.entries(POOLING_LABELS).map(([word, label]) => (
              <option key={word} value={word}>
                {label}
              </option>
            ))}
          </select>
        )}
      </Field>
      <Field
        label="Climate station at most this far, km"
        hint="Beyond it the network’s average is taken"
        error={errorOf('stationLimitKm')}
      >
        {(control) => (
          <input
            {...control}
            className="input numeric"
            inputMode="decimal"
            value={draft.stationLimitKm}
            onChange={({ target }) => onChange({ stationLimitKm: target.value })}
          />
        )}
      </Field>
      <Field
        label="Planning date"
        hint="Forecasts start here; empty: the day of the run"
        error={errorOf('planningDate')}
      >
        {(control) => (
          <input
            {...control}
            type="date"
            className="input"
            value={draft.planningDate}
            onChange={({ target }) => onChange({ planningDate: target.value })}
          />
        )}
      </Field>
    </div>
  );
}
