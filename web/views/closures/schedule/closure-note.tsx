import { useSyncExternalStore } from 'react';
import type { Closure } from '../../../../server/schemas/closures.ts';
import { Field } from '../../shared/controls.tsx';
import { keptStore, withKept } from '../../shared/kept-store.ts';
import type { ClosureEdits } from './use-closure-edits.ts';

const MOST_NOTE = 2000;
/** Notes as typed and not saved, by uid of the closure. */
const drafts = keptStore<string>('kerfcast.closure-notes');

/** A note on a closure; what is typed outlives the card, a reload and a clash. */
export function ClosureNote({ closure, edits }: { closure: Closure; edits: ClosureEdits }) {
  const typed = useSyncExternalStore(drafts.subscribe, drafts.read)[closure.uid];
  const keep = (text: string | null) => drafts.write(withKept(drafts.read(), closure.uid, text));
  const text = typed ?? closure.note;
  const changed = text.trim() !== closure.note;
  return (
    <div className="closure-note">
      <Field label="Note" hint="Goes into the calendar event and the packet">
        {(control) => (
          <textarea
            {...control}
            className="textarea"
            rows={2}
            maxLength={MOST_NOTE}
            value={text}
            onChange={({ target }) => keep(target.value)}
          />
        )}
      </Field>
      {changed && (
        <div className="row">
          <button
            type="button"
            className="button primary"
            disabled={edits.pending}
            onClick={() => edits.make(closure, { note: text.trim() }, () => keep(null))}
          >
            Save the note
          </button>
          <button type="button" className="button" onClick={() => keep(null)}>
            Undo
          </button>
        </div>
      )}
    </div>
  );
}
