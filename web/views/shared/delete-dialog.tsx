import type { ReactNode } from 'react';
import { describeError } from '../../api/request.ts';
import { Dialog } from './dialog.tsx';
import { Banner } from './states.tsx';

interface Props {
  /** What is deleted, by its name. */ readonly name: string;
  readonly busy: boolean;
  readonly error: unknown;
  readonly onClose: () => void;
  readonly onDelete: () => void;
  /** What goes with it and what does not. */ readonly children: ReactNode;
}

/** Asks once more before something is deleted. */
export function DeleteDialog({ name, busy, error, onClose, onDelete, children }: Props) {
  return (
    <Dialog
      title={`Delete ${name}?`}
      open
      onClose={onClose}
      foot={
        <>
          <button type="button" className="button" onClick={onClose}>
            Keep it
          </button>
          <button type="button" className="button danger" disabled={busy} onClick={onDelete}>
            Delete for good
          </button>
        </>
      }
    >
      <div className="stack">
        {children}
        {error !== null && <Banner kind="fault">{describeError(error)}</Banner>}
      </div>
    </Dialog>
  );
}
