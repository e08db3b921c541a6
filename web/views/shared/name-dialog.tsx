import { type ReactNode, useId, useState } from 'react';
import { describeError } from '../../api/request.ts';
import { Field } from './controls.tsx';
import { Dialog } from './dialog.tsx';
import { Banner } from './states.tsx';

const MOST_NAME = 100;
const MOST_NOTE = 2000;

interface Props {
  readonly title: string;
  readonly submit: string;
  readonly name: string;
  /** null: a note is not asked for. */ readonly note: string | null;
  readonly busy: boolean;
  readonly error: unknown;
  readonly onClose: () => void;
  readonly onSubmit: (named: { name: string; note: string }) => void;
  readonly children?: ReactNode;
}

/** Asks for the name of a scenario or plan, and for a note where wanted. */
export function NameDialog({
  title,
  submit,
  name: given,
  note: givenNote,
  busy,
  error,
  onClose,
  onSubmit,
  children,
}: Props) {
  const [name, setName] = useState(given);
  const [note, setNote] = useState(givenNote ?? '');
  const form = useId();
  const problem = name.trim() === '' ? 'Give it a name.' : null;
  return (
    <Dialog
      title={title}
      open
      onClose={onClose}
      foot={
        <>
          <button type="button" className="button" onClick={onClose}>
            Leave as it is
          </button>
          <button type="submit" form={form} className="button primary" disabled={busy || problem !== null}>
            {submit}
          </button>
        </>
      }
    >
      <form
        id={form}
        className="stack"
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          if (problem === null) onSubmit({ name: name.trim(), note: note.trim() });
        }}
      >
        {children}
        <Field label="Name" error={problem}>
          {(control) => (
            <input
              {...control}
              className="input"
              maxLength={MOST_NAME}
              value={name}
              autoFocus
              onChange={({ target }) => setName(target.value)}
            />
          )}
        </Field>
        {givenNote !== null && (
          <Field label="Note" hint="What it stands for, who asked for it">
            {(control) => (
              <textarea
                {...control}
                className="textarea"
                rows={4}
                maxLength={MOST_NOTE}
                value={note}
                onChange={({ target }) => setNote(target.value)}
              />
            )}
          </Field>
        )}
        {error !== null && error !== undefined && <Banner kind="fault">{describeError(error)}</Banner>}
      </form>
    </Dialog>
  );
}
