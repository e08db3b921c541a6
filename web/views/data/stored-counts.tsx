import { useQuery } from '@tanstack/react-query';
import type { RecordKind } from '../../../server/schemas/words.ts';
import { formatNumber } from '../../state/format.ts';
import { RECORD_KIND_LABELS } from '../../state/words.ts';
import { Readout } from '../shared/page.tsx';
import { Answered } from '../shared/states.tsx';
import { recordCountsQuery } from './data-queries.ts';

const KINDS = Object.keys(RECORD_KIND_LABELS) as RecordKind[];
const COUNTED: Readonly<Partial<Record<RecordKind, string>>> = { climate: 'station-days' };

/** How many records of each kind the store holds. */
export function StoredCounts() {
  const counts = useQuery(recordCountsQuery);
  return (
    <section className="card stack" aria-labelledby="stored-title">
      <h2 id="stored-title">What is stored</h2>
      <Answered query={counts} what="the counts">
        {(data) => (
          <div className="stack">
            <dl className="readouts">
              {KINDS.map((kind) => (
                <Readout
                  key={kind}
                  name={RECORD_KIND_LABELS[kind]}
                  value={formatNumber(data[kind])}
                  more={COUNTED[kind]}
                />
              ))}
            </dl>
            {KINDS.every((kind) => data[kind] === 0) && (
              <p className="soft">
                Nothing is stored yet. Start with segments: with them and their seals the map is drawn, with inspections
                the service life is fitted.
              </p>
            )}
          </div>
        )}
      </Answered>
    </section>
  );
}
