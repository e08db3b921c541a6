import type { Load } from '../../../server/schemas/load.ts';
import { formatDay } from '../../state/format.ts';
import { ResultTable } from './result-table.tsx';

const STATE_LABELS: Record<Load['state'], string> = {
  previewing: 'being read',
  ready: 'waiting for you',
  loading: 'loading',
  done: 'loaded',
  failed: 'failed',
  cancelled: 'put aside',
};

/** Earlier loads, newest first; each opens to what it changed. */
export function PastLoads({ loads }: { loads: readonly Load[] }) {
  if (loads.length === 0) return null;
  return (
    <section className="card" aria-labelledby="past-title">
      <h2 id="past-title">Earlier loads</h2>
      <ul className="past-loads">
        {loads.map((load) => (
          <li key={load.id}>
            <PastLoad load={load} />
          </li>
        ))}
      </ul>
    </section>
  );
}

function PastLoad({ load }: { load: Load }) {
  const names = (load.result ?? load.files).map(({ file }) => file);
  const line = (
    <>
      {formatDay(load.createdAt)} at {load.createdAt.slice(11, 16)} UTC{' '}
      <span className={`badge ${load.state === 'failed' ? 'fault' : ''}`}>{STATE_LABELS[load.state]}</span>{' '}
      <span className="past-files">{names.length > 0 ? names.join(', ') : 'no files'}</span>
    </>
  );
  if (load.result) {
    return (
      <details>
        <summary>{line}</summary>
        <ResultTable result={load.result} />
      </details>
    );
  }
  return (
    <>
      <p className="small past-line">{line}</p>
      {load.error && <p className="small field-error">{load.error}</p>}
    </>
  );
}
