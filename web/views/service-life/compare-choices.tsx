import { useQuery } from '@tanstack/react-query';
import { type ReactNode, useId, useState } from 'react';
import type { ComparedFamily, ComparisonRequest } from '../../../server/schemas/models.ts';
import type { Settings } from '../../../server/schemas/settings.ts';
import { startComparison } from '../../api/models.ts';
import {
  type ComparisonDraft,
  type ComparisonMode,
  draftComparison,
  readComparison,
  type SwitchHow,
  toggled,
} from '../../state/comparison.ts';
import { formatCount } from '../../state/format.ts';
import { COMPARED_FAMILY_LABELS, COVARIATE_LABELS } from '../../state/model-words.ts';
import { labelOf } from '../../state/words.ts';
import { useStartJob } from '../data/use-jobs.ts';
import { Field, Switch } from '../shared/controls.tsx';
import { JobPart } from './job-part.tsx';
import { modelQuery } from './model-query.ts';

const MODES: readonly { value: ComparisonMode; label: string }[] = [
  { value: 'one-change', label: 'One change at a time' },
  { value: 'combinations', label: 'My own choice' },
];
const SWITCH_HOW: readonly { value: SwitchHow; label: string }[] = [
  { value: 'each', label: 'One at a time' },
  { value: 'together', label: 'All together' },
];

/** What to compare with the present model, and the job that does it. */
export function CompareChoices({ settings }: { settings: Settings }) {
  const [draft, setDraft] = useState(() => draftComparison(settings));
  const { request, models, problems } = readComparison(draft, settings);
  const start = useStartJob((asked: ComparisonRequest) => startComparison(asked));
  const countProblem = problems.find(({ field }) => field === 'count')?.message;
  const change = (part: Partial<ComparisonDraft>) => setDraft({ ...draft, ...part });
  return (
    <form
      className="card stack"
      noValidate
      aria-labelledby="compare-title"
      onSubmit={(event) => {
        event.preventDefault();
        if (problems.length === 0) start.mutate(request);
      }}
    >
      <h2 id="compare-title">Compare models</h2>
      <p>
        Would another model fit the records better, or forecast better? Each is fitted to the same records, and tested
        on looks that it had not seen. Forecasts stay as they are until you adopt one.
      </p>
      <div>
        <Switch label="What to compare" value={draft.mode} choices={MODES} onChange={(mode) => change({ mode })} />
      </div>
      {draft.mode === 'one-change' ? (
        <p className="small soft">
          The present settings, and each of these with one change: another family, a lower and a higher threshold, one
          covariate left out.
        </p>
      ) : (
        <Choices draft={draft} settings={settings} problems={problems} onChange={change} />
      )}
      <JobPart kinds={['comparison']} startError={start.error}>
        <div className="row">
          <button type="submit" className="button primary" disabled={start.isPending || problems.length > 0}>
            {models === null ? 'Compare' : `Compare ${formatCount(models, 'model')}`}
          </button>
          {countProblem ? (
            <span className="field-error" role="status">
              {countProblem}
            </span>
          ) : (
            <span className="small soft">May take some minutes on a large network; it can be cancelled.</span>
          )}
        </div>
      </JobPart>
    </form>
  );
}

interface ChoicesProps {
  readonly draft: ComparisonDraft;
  readonly settings: Settings;
  readonly problems: ReturnType<typeof readComparison>['problems'];
  readonly onChange: (part: Partial<ComparisonDraft>) => void;
}

function Choices({ draft, settings, problems, onChange }: ChoicesProps) {
  const { data: model } = useQuery(modelQuery);
  const errorOf = (field: keyof ComparisonDraft) => problems.find((problem) => problem.field === field)?.message;
  const covariates = [
    ...(model?.effects ?? []).map(({ name, label }) => ({ name, label: `Without ${label.toLowerCase()}` })),
    ...settings.leftOutCovariates.map((name) => ({
      name,
      label: `With ${labelOf(COVARIATE_LABELS, name).toLowerCase()} again`,
    })),
  ].filter(({ name }, i, all) => all.findLastIndex((other) => other.name === name) === i);
  return (
    <div className="grid fit-fields">
      <CheckGroup legend="Families of the life distribution" error={errorOf('families')}>
        {Object.entries(COMPARED_FAMILY_LABELS).map(([family, label]) => (
          <Check
            key={family}
            label={label}
            checked={draft.families.includes(family as ComparedFamily)}
            onChange={() => onChange({ families: toggled(draft.families, family as ComparedFamily) })}
          />
        ))}
      </CheckGroup>
      {covariates.length > 0 && (
        <CheckGroup legend="Covariates in or out" error={errorOf('switched')}>
          {covariates.map(({ name, label }) => (
            <Check
              key={name}
              label={label}
              checked={draft.switched.includes(name)}
              onChange={() => onChange({ switched: toggled(draft.switched, name) })}
            />
          ))}
          {draft.switched.length > 1 && (
            <Switch
              label="How they are tried"
              value={draft.switchHow}
              choices={SWITCH_HOW}
              onChange={(switchHow) => onChange({ switchHow })}
            />
          )}
        </CheckGroup>
      )}
      <Field
        label="Failed from a damaged share of, %"
        hint="Several with commas between; AIC compares only within one of them"
        error={errorOf('thresholdsPercent')}
      >
        {(control) => (
          <input
            {...control}
            className="input"
            value={draft.thresholdsPercent}
            onChange={({ target }) => onChange({ thresholdsPercent: target.value })}
          />
        )}
      </Field>
    </div>
  );
}

function CheckGroup({ legend, error, children }: { legend: string; error: string | undefined; children: ReactNode }) {
  const id = useId();
  return (
    <fieldset className="field" aria-describedby={error ? id : undefined}>
      <legend>{legend}</legend>
      <div>{children}</div>
      {error && (
        <span className="field-error" id={id}>
          {error}
        </span>
      )}
    </fieldset>
  );
}

const Check = ({ label, checked, onChange }: { label: string; checked: boolean; onChange: () => void }) => (
  <label className="check">
    <input type="checkbox" checked={checked} onChange={onChange} />
    {label}
  </label>
);
