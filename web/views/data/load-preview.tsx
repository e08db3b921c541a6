import { useState } from 'react';
import type { Load } from '../../../server/schemas/load.ts';
import { countRows, sameChoices, whyNotReady } from '../../state/file-choices.ts';
import { formatCount } from '../../state/format.ts';
import { Dialog } from '../shared/dialog.tsx';
import { Banner } from '../shared/states.tsx';
import { PreviewFile } from './preview-file.tsx';

interface Props {
  load: Load;
  onReadAgain: (choices: Load['choices']) => void;
  onCommit: () => void;
  onPutAside: () => void;
  busy: boolean;
}

/** What was understood of the files: put right here, read again, then loaded. */
export function LoadPreview({ load, onReadAgain, onCommit, onPutAside, busy }: Props) {
  const [choices, setChoices] = useState(load.choices);
  const [asking, setAsking] = useState(false);
  const changed = !sameChoices(choices, load.choices);
  const { accepted, refused } = countRows(load.files);
  const obstacle = whyNotReady(load.files);
  const loadLabel = `Load ${formatCount(accepted, 'row')}`;
  return (
    <>
      <p>
        <strong>Nothing is stored yet.</strong> Check what each file is, and the unit of each column; change what is
        wrong, then load.
      </p>
      {load.files.map((file) => (
        <PreviewFile
          key={file.uploadId}
          loadId={load.id}
          file={file}
          choices={choices}
          before={load.choices}
          onChange={setChoices}
        />
      ))}
      <div className="load-actions" aria-live="polite">
        {changed ? (
          <>
            <p>{choices.length === 0 ? 'Every file is left out.' : 'What you changed has not been read yet.'}</p>
            <button
              type="button"
              className="button primary"
              disabled={busy || choices.length === 0}
              onClick={() => onReadAgain(choices)}
            >
              Read the files again
            </button>
            <button type="button" className="button" onClick={() => setChoices(load.choices)}>
              Undo changes
            </button>
          </>
        ) : (
          <>
            {obstacle && <p>{obstacle}</p>}
            <button
              type="button"
              className="button primary"
              disabled={busy || obstacle !== null}
              onClick={() => setAsking(true)}
            >
              {loadLabel}
            </button>
          </>
        )}
        <button type="button" className="button push" disabled={busy} onClick={onPutAside}>
          Put these files aside
        </button>
      </div>
      <Dialog
        title={`${loadLabel}?`}
        open={asking}
        onClose={() => setAsking(false)}
        foot={
          <>
            <button type="button" className="button" onClick={() => setAsking(false)}>
              Not yet
            </button>
            <button
              type="button"
              className="button primary"
              disabled={busy}
              onClick={() => {
                setAsking(false);
                onCommit();
              }}
            >
              {loadLabel}
            </button>
          </>
        }
      >
        <div className="stack">
          <p>
            Records with a key that is already stored are updated; the others are added. All rows are kept, or none if
            something goes wrong.
          </p>
          {refused > 0 && (
            <Banner kind="caution">
              {formatCount(refused, 'refused row')} will be left out. Download them to mend and load them later.
            </Banner>
          )}
        </div>
      </Dialog>
    </>
  );
}
