import type { RecordKind } from '../../../server/schemas/words.ts';
import { fieldsOf } from '../../state/file-fields.ts';
import { RECORD_KIND_LABELS } from '../../state/words.ts';
import { DataTable } from '../shared/data-table.tsx';
import { FILE_EXAMPLES } from './file-examples.ts';

const KINDS = Object.keys(FILE_EXAMPLES) as RecordKind[];

/** What a file of each kind looks like. */
export function FileHelp() {
  return (
    <section className="card" aria-labelledby="help-title">
      <h2 id="help-title">What a file looks like</h2>
      <p className="small soft">
        Columns may come in any order, under your own names, with a unit in the name such as “width (in)”. What is not
        recognised you can assign in the preview. Dates are read as year, month, day. An empty cell means not known.
      </p>
      {KINDS.map((kind) => (
        <details key={kind} className="help-kind">
          <summary>{RECORD_KIND_LABELS[kind]}</summary>
          <p className="small">
            For example <code>{FILE_EXAMPLES[kind].name}</code>:
          </p>
          {/* A long line scrolls, so the keyboard must be able to reach it (WCAG 2.1.1). */}
          {/* biome-ignore lint/a11y/noNoninteractiveTabindex: see the line above */}
          <pre tabIndex={0}>{FILE_EXAMPLES[kind].text}</pre>
          <DataTable
            caption={`Columns of ${RECORD_KIND_LABELS[kind].toLowerCase()}`}
            captionUnseen
            rows={fieldsOf(kind)}
            rowKey={({ field }) => field}
            columns={[
              { key: 'field', head: 'Column', cell: ({ field }) => <code>{field}</code> },
              { key: 'needed', head: 'Needed', cell: ({ required }) => (required ? 'yes' : '') },
              { key: 'label', head: 'What it is', cell: ({ label }) => label },
              { key: 'about', head: 'What it holds', cell: ({ about }) => about },
            ]}
          />
        </details>
      ))}
    </section>
  );
}
