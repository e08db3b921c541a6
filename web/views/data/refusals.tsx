import type { FilePreview } from '../../../server/schemas/load.ts';
import { formatCount, formatNumber } from '../../state/format.ts';
import { DataTable } from '../shared/data-table.tsx';

/** So few refusals are shown at once. */
const FEW = 20;

/** Why rows were refused: first in groups, then one by one, with what is allowed and a hint. */
export function Refusals({ file, downloadUrl }: { file: FilePreview; downloadUrl: string }) {
  if (file.rowsRefused === 0 && file.problems.length === 0) {
    return file.rowsRead > 0 ? <p className="small soft">No row was refused.</p> : null;
  }
  const shown = file.problems.length;
  return (
    <section className="stack" aria-label={`Refused rows of ${file.file}`}>
      <div className="row">
        <h4>{formatCount(file.rowsRefused, 'refused row')}</h4>
        <a className="button push" href={downloadUrl} download>
          Download refused rows (CSV)
        </a>
      </div>
      <DataTable
        caption="Reasons, most frequent first"
        rows={[...file.problemCounts].sort((a, b) => b.count - a.count)}
        rowKey={({ field, expected }) => `${field} ${expected}`}
        columns={[
          { key: 'field', head: 'Field', cell: ({ field }) => <code>{field}</code> },
          { key: 'expected', head: 'Expected', cell: ({ expected }) => expected },
          { key: 'count', head: 'Times', numeric: true, cell: ({ count }) => formatNumber(count) },
        ]}
      />
      <details open={shown <= FEW}>
        <summary>
          Row by row{file.rowsRefused > shown ? `: the first ${formatNumber(shown)}; all are in the download` : ''}
        </summary>
        <DataTable
          caption={`Each refusal of ${file.file}`}
          captionUnseen
          maxHeight="24rem"
          rows={file.problems}
          rowKey={({ row, field }, index) => `${row} ${field} ${index}`}
          columns={[
            { key: 'row', head: 'Row', numeric: true, cell: ({ row }) => formatNumber(row) },
            { key: 'file', head: 'File', cell: (problem) => problem.file },
            { key: 'field', head: 'Field', cell: ({ field }) => <code>{field}</code> },
            { key: 'found', head: 'Found', cell: ({ found }) => <code className="found">{found}</code> },
            { key: 'expected', head: 'Expected', cell: ({ expected }) => <span className="words">{expected}</span> },
            { key: 'hint', head: 'Hint', cell: ({ hint }) => hint && <span className="words">{hint}</span> },
          ]}
        />
      </details>
    </section>
  );
}
