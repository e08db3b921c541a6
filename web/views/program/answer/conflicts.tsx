import type { Program } from '../../../../server/schemas/program.ts';
import { conflictNumber } from '../../../state/program-words.ts';
import { DataTable } from '../../shared/data-table.tsx';
import { useUnits } from '../../shared/preferences.ts';
import { useProgramView } from '../use-program-view.ts';

/** Which bounds cannot be kept together, by how much, and where to change them. */
export function Conflicts({ program }: { program: Program }) {
  const units = useUnits();
  const [, setView] = useProgramView();
  return (
    <section className="card stack answer-head conflicts" aria-labelledby="conflicts-title">
      <h2 id="conflicts-title">What was asked cannot be kept together</h2>
      <p className="answer-sentence">{program.sentence}</p>
      <ol className="notes">
        {program.conflicts.map(({ sentence }) => (
          <li key={sentence}>{sentence}</li>
        ))}
      </ol>
      {program.conflicts.length > 0 && (
        <DataTable
          caption="Asked for, and within reach"
          rows={program.conflicts}
          rowKey={(_, index) => index}
          columns={[
            { key: 'what', head: 'Conflict', cell: ({ sentence }) => <span className="words">{sentence}</span> },
            {
              key: 'asked',
              head: 'Asked for',
              numeric: true,
              cell: ({ asked, unit }) => conflictNumber(asked, unit, program.currency, units),
            },
            {
              key: 'reachable',
              head: 'Within reach',
              numeric: true,
              cell: ({ reachable, unit }) => conflictNumber(reachable, unit, program.currency, units),
            },
          ]}
        />
      )}
      <div className="row">
        <button type="button" className="button primary" onClick={() => setView({ part: 'setup' })}>
          Change the inputs
        </button>
      </div>
    </section>
  );
}
