import { useMutation, useQuery, useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import type { Settings } from '../../../server/schemas/settings.ts';
import { ApiProblem, describeError } from '../../api/request.ts';
import { fetchSettings, saveSettings } from '../../api/settings.ts';
import {
  type AgencyDraft,
  type AgencyFields,
  draftAgency,
  problemsByField,
  readAgency,
} from '../../state/agency-edit.ts';
import { Field } from '../shared/controls.tsx';
import { settingsQuery } from '../shared/queries.ts';
import { Answered, Banner } from '../shared/states.tsx';

/** Whose records these are: name, base map, and whether they are invented. */
export function Agency() {
  const settings = useQuery(settingsQuery);
  const save = useSaveAgency();
  return (
    <section className="card stack" aria-labelledby="agency-title">
      <h2 id="agency-title">Agency</h2>
      <Answered query={settings} what="the settings">
        {(saved) => <AgencyForm key={JSON.stringify(draftAgency(saved))} saved={saved} save={save} />}
      </Answered>
    </section>
  );
}

function AgencyForm({ saved, save }: { saved: Settings; save: ReturnType<typeof useSaveAgency> }) {
  const [draft, setDraft] = useState(() => draftAgency(saved));
  const { fields, problems: typed } = readAgency(draft);
  const touched = JSON.stringify(draft) !== JSON.stringify(draftAgency(saved));
  const change = (part: Partial<AgencyDraft>) => {
    setDraft({ ...draft, ...part });
    save.reset();
  };
  const refused = save.error instanceof ApiProblem ? problemsByField(save.error.errors) : [];
  const errorOf = (name: keyof AgencyDraft) => [...typed, ...refused].find(({ field }) => field === name)?.message;
  const unplaced = save.isError && !refused.some(({ field }) => field in draft);
  return (
    <form
      className="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        if (typed.length === 0) save.mutate(fields);
      }}
    >
      <AgencyInputs draft={draft} errorOf={errorOf} onChange={change} />
      {unplaced && <Banner kind="fault">{describeError(save.error)}</Banner>}
      {save.data?.otherMap && !touched && <ReloadNote />}
      <div className="row">
        <button type="submit" className="button primary" disabled={!touched || typed.length > 0 || save.isPending}>
          Save
        </button>
        {touched && (
          <button type="button" className="button" onClick={() => change(draftAgency(saved))}>
            Undo changes
          </button>
        )}
        <span className="small soft" role="status">
          {typed.length > 0
            ? 'Mend the marked fields first.'
            : touched
              ? 'Not saved yet.'
              : save.isSuccess
                ? 'Saved.'
                : ''}
        </span>
        <span className="small soft">The currency is on the screen Budget.</span>
      </div>
    </form>
  );
}

interface InputProps {
  draft: AgencyDraft;
  errorOf: (name: keyof AgencyDraft) => string | undefined;
  onChange: (part: Partial<AgencyDraft>) => void;
}

function AgencyInputs({ draft, errorOf, onChange }: InputProps) {
  return (
    <div className="grid agency-fields">
      <Field label="Name of the agency" hint="Stands at the top of every screen" error={errorOf('agencyName')}>
        {(control) => (
          <input
            {...control}
            className="input"
            autoComplete="organization"
            value={draft.agencyName}
            onChange={({ target }) => onChange({ agencyName: target.value })}
          />
        )}
      </Field>
      <Field
        label="Base map address"
        hint={
          <>
            Raster tiles with <code>{'{z}/{x}/{y}'}</code> for zoom, column and row. Leave it empty for the built-in
            outline. If it names another server, that server learns which area is looked at; nothing else of this
            program ever leaves the computer.
          </>
        }
        error={errorOf('baseMapUrl')}
      >
        {(control) => (
          <input
            {...control}
            className="input"
            inputMode="url"
            spellCheck={false}
            placeholder="empty: built-in outline"
            value={draft.baseMapUrl}
            onChange={({ target }) => onChange({ baseMapUrl: target.value })}
          />
        )}
      </Field>
      <label className="check">
        <input
          type="checkbox"
          checked={draft.agencyInvented}
          onChange={({ target }) => onChange({ agencyInvented: target.checked })}
        />
        <span>
          These records are invented
          <span className="hint">Every screen then says so, so that nobody takes them for a real network.</span>
        </span>
      </label>
    </div>
  );
}

/** A page is told when it is opened from which server tiles may come. */
const ReloadNote = () => (
  <Banner>
    <span>The new base map shows once this page has been loaded again.</span>
    <button type="button" className="button" onClick={() => window.location.reload()}>
      Load the page again
    </button>
  </Banner>
);

/** Another screen may have saved since: the newest settings are read, and only these fields changed. */
function useSaveAgency() {
  const client = useQueryClient();
  return useMutation({
    mutationFn: async (fields: AgencyFields) => {
      const before = await fetchSettings();
      const saved = await saveSettings({ ...before, ...fields });
      client.setQueryData(settingsQuery.queryKey, saved);
      return { otherMap: before.baseMapUrl !== saved.baseMapUrl };
    },
  });
}

/** Says that these are the demo's records, and how to begin with one's own. */
export function InventedNote() {
  const { data } = useQuery(settingsQuery);
  if (!data?.agencyInvented) return null;
  return (
    <Banner kind="caution">
      <p>
        <strong>These are the demo’s records: no such agency, road or airport exists.</strong> Try anything you like
        here, but keep your own records apart: stop the program, start it with another folder, and load your files on
        this screen.
      </p>
      <code className="command">
        npm start -- <span>--data ../our-records</span> <span>--empty</span>
      </code>
    </Banner>
  );
}
