import { useMutation } from '@tanstack/react-query';
import { useRef, useState } from 'react';
import { describeError } from '../../../api/request.ts';
import { formatCount } from '../../../state/format.ts';
import type { Pasted } from '../../../state/pasted-rows.ts';
import { Field } from '../../shared/controls.tsx';
import { Dialog } from '../../shared/dialog.tsx';
import { Banner } from '../../shared/states.tsx';

const PROBLEMS_SHOWN = 20;

/** Cells of a pasted table: commas, semicolons or the tabs of a spreadsheet. The reader is fetched when first needed. */
async function cellsOf(text: string): Promise<string[][]> {
  const { parse } = await import('csv-parse/browser/esm/sync');
  return parse(text, {
    bom: true,
    delimiter: [',', '\t', ';'],
    relax_column_count: true,
    skip_empty_lines: true,
    trim: true,
  }) as string[][];
}

interface Props<Row> {
  readonly what: string;
  readonly columns: readonly string[];
  readonly note: string;
  readonly read: (cells: readonly (readonly string[])[]) => Pasted<Row>;
  readonly onTake: (rows: Row[]) => void;
  readonly onReplace: (rows: readonly Row[]) => void;
}

/** Many rows at once, pasted from a spreadsheet or read from a CSV file. Lines that cannot be read are named. */
export function PasteRows<Row>({ what, columns, note, read, onTake, onReplace }: Props<Row>) {
  const [open, setOpen] = useState(false);
  const [text, setText] = useState('');
  const file = useRef<HTMLInputElement>(null);
  const reading = useMutation({ mutationFn: async (pasted: string) => read(await cellsOf(pasted)) });
  const pasted = reading.data;
  const close = () => {
    setOpen(false);
    setText('');
    reading.reset();
  };
  const give = (next: string) => {
    setText(next);
    reading.reset();
  };
  return (
    <div className="row">
      <button type="button" className="button" onClick={() => setOpen(true)}>
        Paste or load a CSV
      </button>
      <Dialog
        title={`Paste or load ${what}`}
        open={open}
        onClose={close}
        foot={
          pasted && pasted.rows.length > 0 ? (
            <>
              <button
                type="button"
                className="button"
                onClick={() => {
                  onReplace(pasted.rows);
                  close();
                }}
              >
                Replace the list
              </button>
              <button
                type="button"
                className="button primary"
                onClick={() => {
                  onTake([...pasted.rows]);
                  close();
                }}
              >
                Add {formatCount(pasted.rows.length, 'row')}
              </button>
            </>
          ) : (
            <button
              type="button"
              className="button primary"
              disabled={text.trim() === '' || reading.isPending}
              onClick={() => reading.mutate(text)}
            >
              Read
            </button>
          )
        }
      >
        <div className="stack">
          <p className="small">
            Columns: <code>{columns.join(', ')}</code>. {note}
          </p>
          <Field label="Rows">
            {(control) => (
              <textarea
                {...control}
                className="textarea code"
                rows={8}
                spellCheck={false}
                value={text}
                onChange={({ target }) => give(target.value)}
              />
            )}
          </Field>
          <div className="row">
            <button type="button" className="button" onClick={() => file.current?.click()}>
              Choose a CSV file
            </button>
            <input
              ref={file}
              type="file"
              hidden
              accept=".csv,.txt,.tsv"
              onChange={async ({ target }) => {
                const [chosen] = target.files ?? [];
                target.value = ''; // so that the same file can be chosen again once it is mended
                if (chosen) give(await chosen.text());
              }}
            />
          </div>
          {reading.isError && (
            <Banner kind="fault">Not a table that can be read: {describeError(reading.error)}</Banner>
          )}
          {pasted && <Outcome pasted={pasted} />}
        </div>
      </Dialog>
    </div>
  );
}

function Outcome<Row>({ pasted: { rows, problems } }: { pasted: Pasted<Row> }) {
  return (
    <div role="status">
      <p>
        {formatCount(rows.length, 'row')} can be taken
        {problems.length > 0 ? `; ${formatCount(problems.length, 'line')} cannot:` : '.'}
      </p>
      {problems.length > 0 && (
        <ul className="notes small">
          {problems.slice(0, PROBLEMS_SHOWN).map(({ line, message }) => (
            <li key={line}>
              Line {line}: {message}
            </li>
          ))}
          {problems.length > PROBLEMS_SHOWN && <li>and {problems.length - PROBLEMS_SHOWN} more</li>}
        </ul>
      )}
    </div>
  );
}
