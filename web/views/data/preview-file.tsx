import type { FileChoice, FilePreview } from '../../../server/schemas/load.ts';
import type { RecordKind } from '../../../server/schemas/words.ts';
import { refusedCsvUrl } from '../../api/loads.ts';
import {
  chooseKind,
  chooseSwap,
  describeColumns,
  leaveOut,
  putBack,
  suggestsSwap,
  wantsLook,
} from '../../state/file-choices.ts';
import { fieldsOf } from '../../state/file-fields.ts';
import { formatNumber } from '../../state/format.ts';
import { RECORD_KIND_LABELS } from '../../state/words.ts';
import { Field } from '../shared/controls.tsx';
import { Readout } from '../shared/page.tsx';
import { Banner } from '../shared/states.tsx';
import { ColumnTable } from './column-table.tsx';
import { Refusals } from './refusals.tsx';

interface Props {
  loadId: string;
  file: FilePreview;
  /** What is said now; a file without a choice is left out. */ choices: readonly FileChoice[];
  /** What the preview was made with. */ before: readonly FileChoice[];
  onChange: (choices: FileChoice[]) => void;
}

/** One file of a load: what it is taken for, its columns and units, and what was refused. */
export function PreviewFile({ loadId, file, choices, before, onChange }: Props) {
  const choice = choices.find(({ uploadId }) => uploadId === file.uploadId);
  if (!choice) {
    return (
      <div className="preview-file row">
        <h3>{file.file}</h3>
        <span className="small soft">left out of this load</span>
        <button
          type="button"
          className="button push"
          aria-label={`Take ${file.file} in again`}
          onClick={() => onChange(putBack(choices, file.uploadId, before))}
        >
          Take in again
        </button>
      </div>
    );
  }
  const kind = choice.kind ?? file.kind;
  const kindChanged = kind !== file.kind;
  return (
    <article className="preview-file stack" aria-label={file.file}>
      <div className="row">
        <h3>{file.file}</h3>
        <dl className="readouts push">
          <Readout name="Rows read" value={formatNumber(file.rowsRead)} />
          <Readout name="Accepted" value={formatNumber(file.rowsAccepted)} />
          <Readout name="Refused" value={formatNumber(file.rowsRefused)} />
        </dl>
      </div>
      <div className="row">
        <Field
          label="Each row is one of"
          hint={file.kindGuessed && !kindChanged ? 'Guessed from its columns' : undefined}
        >
          {(control) => (
            <select
              {...control}
              className="select"
              value={kind ?? ''}
              onChange={({ target }) => onChange(chooseKind(choices, file.uploadId, target.value as RecordKind))}
            >
              {kind === null && <option value="">Choose…</option>}
              {Object.entries(RECORD_KIND_LABELS).map(([word, label]) => (
                <option key={word} value={word}>
                  {label}
                </option>
              ))}
            </select>
          )}
        </Field>
        <SwapChoice file={file} choice={choice} choices={choices} onChange={onChange} />
        {before.length > 1 && (
          <button
            type="button"
            className="button push"
            aria-label={`Leave ${file.file} out`}
            onClick={() => onChange(leaveOut(choices, file.uploadId))}
          >
            Leave this file out
          </button>
        )}
      </div>
      {file.notes.length > 0 && (
        <ul className="notes small">
          {file.notes.map((note) => (
            <li key={note}>{note}</li>
          ))}
        </ul>
      )}
      {file.missingColumns.length > 0 && !kindChanged && (
        <Banner kind="caution">
          <strong>
            No column was found for {file.missingColumns.map((field) => fieldLabel(file, field)).join(', ')}.
          </strong>
          <span>If the file has it under another name, say which column it is below.</span>
        </Banner>
      )}
      {!kindChanged && file.columns.length > 0 && (
        <details open={wantsLook(file)}>
          <summary>{describeColumns(file)}</summary>
          <ColumnTable file={file} choices={choices} onChange={onChange} />
        </details>
      )}
      {kindChanged && <p className="small soft">Its columns will be shown once the file is read again.</p>}
      <Refusals file={file} downloadUrl={refusedCsvUrl(loadId, file.uploadId)} />
    </article>
  );
}

const fieldLabel = (file: FilePreview, field: string): string =>
  fieldsOf(file.kind).find((known) => known.field === field)?.label ?? field;

/** Offered where coordinates look the wrong way round, or once chosen. */
function SwapChoice({
  file,
  choice,
  choices,
  onChange,
}: Pick<Props, 'file' | 'choices' | 'onChange'> & { choice: FileChoice }) {
  const swapped = choice.swapLonLat ?? false;
  if (!swapped && !suggestsSwap(file)) return null;
  return (
    <label className="check">
      <input
        type="checkbox"
        checked={swapped}
        onChange={({ target }) => onChange(chooseSwap(choices, file.uploadId, target.checked))}
      />
      <span>In this file latitude comes before longitude: swap them</span>
    </label>
  );
}
