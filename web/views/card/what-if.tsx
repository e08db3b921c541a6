import { useMutation, useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import type { SegmentCard } from '../../../server/schemas/card.ts';
import type { WhatIfRequest } from '../../../server/schemas/drivers.ts';
import type { Preparation, SealantClass } from '../../../server/schemas/words.ts';
import { askWhatIf } from '../../api/drivers.ts';
import { ApiProblem, describeError } from '../../api/request.ts';
import { readWhatIf, type WhatIfDraft } from '../../state/drivers.ts';
import { formatWidth } from '../../state/format.ts';
import { PREPARATION_LABELS, SEALANT_CLASS_LABELS } from '../../state/words.ts';
import { Field } from '../shared/controls.tsx';
import { useUnits } from '../shared/preferences.ts';
import { versionQuery } from '../shared/queries.ts';
import { Banner } from '../shared/states.tsx';
import { WhatIfResult } from './what-if-result.tsx';

/** What another class, width, preparation or year would do here, beside resealing like with like. */
export function WhatIfForm({ card }: { card: SegmentCard }) {
  const { segment, seals, forecast } = card;
  const units = useUnits();
  const planningYear = forecast?.planningYear ?? 0;
  const inPlace = seals.findLast(({ removedOn }) => removedOn === null) ?? seals.at(-1);
  const [draft, setDraft] = useState<WhatIfDraft>(() => ({
    sealantClass: inPlace?.sealantClass ?? 'silicone-self-levelling',
    widthText: '',
    preparation: inPlace?.preparation ?? 'unknown',
    yearText: String(Math.max(planningYear, forecast?.dueYear ?? planningYear)),
  }));
  const { data: version } = useQuery(versionQuery);
  const ask = useMutation({ mutationFn: (request: WhatIfRequest) => askWhatIf(segment.id, request) });
  const { request, problems } = readWhatIf(draft, units, planningYear);
  const errorOf = (field: keyof WhatIfDraft) => problems.find((problem) => problem.field === field)?.message;
  const change = (part: Partial<WhatIfDraft>) => setDraft({ ...draft, ...part });
  const outdated = ask.data && version && version.modelVersion !== ask.data.modelVersion;
  return (
    <section aria-labelledby="what-if-title">
      <h3 id="what-if-title">What if it were resealed with…</h3>
      <form
        className="stack"
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          if (problems.length === 0) ask.mutate(request);
        }}
      >
        <div className="grid what-if-fields">
          <Field label="Sealant class">
            {(control) => (
              <Words
                control={control}
                labels={SEALANT_CLASS_LABELS}
                value={draft.sealantClass}
                without={inPlace?.sealantClass === 'unknown' ? null : 'unknown'}
                onChange={(word) => change({ sealantClass: word as SealantClass })}
              />
            )}
          </Field>
          <Field label="Preparation">
            {(control) => (
              <Words
                control={control}
                labels={PREPARATION_LABELS}
                value={draft.preparation}
                without={null}
                onChange={(word) => change({ preparation: word as Preparation })}
              />
            )}
          </Field>
          <Field
            label={`Joint width, ${units === 'us' ? 'in' : 'mm'}`}
            hint={`Empty: as now, ${formatWidth(inPlace?.widthMm ?? segment.widthMm, units)}`}
            error={errorOf('widthText')}
          >
            {(control) => (
              <input
                {...control}
                className="input numeric"
                inputMode="decimal"
                value={draft.widthText}
                onChange={({ target }) => change({ widthText: target.value })}
              />
            )}
          </Field>
          <Field label="Year of resealing" error={errorOf('yearText')}>
            {(control) => (
              <input
                {...control}
                className="input numeric"
                inputMode="numeric"
                value={draft.yearText}
                onChange={({ target }) => change({ yearText: target.value })}
              />
            )}
          </Field>
        </div>
        <div>
          <button type="submit" className="button" disabled={ask.isPending || problems.length > 0}>
            {ask.isPending ? 'Working it out…' : 'Work it out'}
          </button>
        </div>
      </form>
      {ask.isError && <Refusal error={ask.error} />}
      {outdated && <Banner kind="caution">The model has changed since. Work it out again.</Banner>}
      {ask.data && <WhatIfResult answer={ask.data} />}
    </section>
  );
}

function Words({
  control,
  labels,
  value,
  without,
  onChange,
}: {
  control: { id: string };
  labels: Readonly<Record<string, string>>;
  value: string;
  /** A word that cannot be chosen. */ without: string | null;
  onChange: (word: string) => void;
}) {
  return (
    <select {...control} className="select" value={value} onChange={({ target }) => onChange(target.value)}>
      {Object.entries(labels)
        .filter(([word]) => word !== without)
        .map(([word, label]) => (
          <option key={word} value={word}>
            {label}
          </option>
        ))}
    </select>
  );
}

/** Why the choice is refused, for example where fuel is spilled: a caution of the trade, not a fault of the program. */
const Refusal = ({ error }: { error: unknown }) => (
  <Banner kind={error instanceof ApiProblem && error.status === 422 ? 'caution' : 'fault'}>
    {error instanceof ApiProblem && error.status === 422 && <strong>Not for this place.</strong>}
    {describeError(error)}
  </Banner>
);
