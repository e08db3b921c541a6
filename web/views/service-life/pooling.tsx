import type { PooledGroupingReport, PoolingReport } from '../../../server/schemas/pooling.ts';
import { formatInterval, formatNumber, NOT_KNOWN } from '../../state/format.ts';
import { GROUPING_LABELS } from '../../state/model-words.ts';
import { screenAddress } from '../../state/routes.ts';
import { DataTable } from '../shared/data-table.tsx';
import { Link } from '../shared/url.tsx';

/** Whether districts, facilities and lots differ beyond chance, and whether forecasts allow for it. */
export function Pooling({ pooling }: { pooling: PoolingReport }) {
  const { used, sentence, groupings, leastGain } = pooling;
  return (
    <section className="card stack" aria-labelledby="pooling-title">
      <div className="row">
        <h2 id="pooling-title">What seals of one place or lot share</h2>
        <span className={`badge ${used ? 'accent' : ''}`}>{used ? 'used in forecasts' : 'not used'}</span>
      </div>
      <p className="model-sentence">{sentence}</p>
      {groupings.length > 0 && (
        <>
          <DataTable
            caption="What seals share"
            captionUnseen
            rows={groupings}
            rowKey={({ name }) => name}
            columns={[
              { key: 'name', head: 'Compared', cell: ({ name }) => GROUPING_LABELS[name] },
              {
                key: 'factor',
                head: 'Factor of life (80 %)',
                numeric: true,
                cell: ({ factor, levels }) =>
                  factor ? formatInterval(factor, 2) : levels < 2 ? 'nothing to compare' : 'none beyond chance',
              },
              { key: 'used', head: 'In forecasts', cell: (grouping) => (grouping.used ? 'used' : 'not used') },
              {
                key: 'gain',
                head: `Gain (${formatNumber(leastGain, 1)} needed)`,
                numeric: true,
                cell: ({ gain }) => formatNumber(gain, 1),
              },
              { key: 'levels', head: 'How many', numeric: true, cell: ({ levels }) => formatNumber(levels) },
              {
                key: 'unknown',
                head: 'Seals without it on record',
                numeric: true,
                cell: ({ unknownSeals }) => formatNumber(unknownSeals),
              },
            ]}
          />
          {groupings
            .filter((grouping) => grouping.used)
            .map((grouping) => (
              <Ends key={grouping.name} grouping={grouping} />
            ))}
          <p className="small soft">
            The factor is how far lives of levels lie apart: one standard deviation, beyond class and covariates. The
            gain is twice that in log marginal likelihood. Effects are drawn in to 1 where records are thin; curves and
            medians above are for the average place and lot.{' '}
            <Link href={screenAddress('/odd-ones', new URLSearchParams())}>Odd ones</Link> says which stand out by
            themselves.
          </p>
        </>
      )}
    </section>
  );
}

/** The levels with the shortest and the longest lives. */
function Ends({ grouping }: { grouping: PooledGroupingReport }) {
  const { name, shortest, longest } = grouping;
  const rows = [
    ...shortest.map((line) => ({ ...line, end: 'shortest' })),
    ...longest.map((line) => ({ ...line, end: 'longest' })),
  ];
  if (rows.length === 0) return null;
  return (
    <details>
      <summary>{GROUPING_LABELS[name]} with the shortest and the longest lives</summary>
      <DataTable
        caption={`${GROUPING_LABELS[name]} with the shortest and the longest lives`}
        captionUnseen
        rows={rows}
        rowKey={({ end, level }) => `${end} ${level}`}
        columns={[
          { key: 'level', head: GROUPING_LABELS[name], cell: ({ level }) => level || NOT_KNOWN },
          {
            key: 'ratio',
            head: 'Times as long as the average (80 %)',
            numeric: true,
            cell: ({ lifeRatio }) => formatInterval(lifeRatio, 2),
          },
          {
            key: 'failures',
            head: 'Failed, of seals',
            numeric: true,
            cell: ({ failures, seals }) => `${formatNumber(failures)} of ${formatNumber(seals)}`,
          },
          { key: 'end', head: 'Among the', cell: ({ end }) => end },
        ]}
      />
    </details>
  );
}
