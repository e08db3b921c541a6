import type { BacktestEvidence } from '../../../server/schemas/evidence-backtest.ts';
import { formatPart } from '../../state/evidence-words.ts';
import { formatDay, formatNumber, formatYears, NOT_KNOWN } from '../../state/format.ts';
import { labelOf, SEALANT_CLASS_LABELS } from '../../state/words.ts';
import { DataTable } from '../shared/data-table.tsx';

/** What the back-test did: dates, counts, what was left out. */
export function BacktestFacts({ backtest }: { backtest: BacktestEvidence }) {
  const { leftOutSeals: out } = backtest;
  return (
    <section className="card stack" aria-labelledby="facts-title">
      <h2 id="facts-title">What the test did</h2>
      <p>
        For each cut-off date the model was fitted to nothing but the records up to that day
        {backtest.readsShares && ', damaged shares among them'}, and the years after were forecast. Then each later
        inspection of a seal last seen sound was held against its forecast.
      </p>
      <dl className="facts">
        <dt>Looks judged</dt>
        <dd>
          {formatNumber(backtest.trials)}, of which {formatNumber(backtest.failures)} found a failure
        </dd>
        <dt>Seals forecast</dt>
        <dd>{formatNumber(backtest.lives)}, each counted once for each cut-off date</dd>
        <dt>Segments judged</dt>
        <dd>{formatPart(backtest.segmentsJudged, backtest.segmentsInNetwork)}</dd>
        <dt>Horizon</dt>
        <dd>{formatYears(backtest.horizonYears)} after each cut-off; later looks are not judged</dd>
        <dt>Sealed later</dt>
        <dd>{formatNumber(backtest.laterSealTrials)} looks were at seals installed after the cut-off</dd>
        <dt>Left out</dt>
        <dd>
          {formatNumber(out.contradictory)} seals with a contradictory history, {formatNumber(out.impossible)} with
          impossible dates, {formatNumber(out.unsealed)} left unsealed by policy
        </dd>
      </dl>
      <DataTable
        caption="What was known at each cut-off date"
        rows={backtest.cutoffFits}
        rowKey={({ cutoff }) => cutoff}
        columns={[
          { key: 'cutoff', head: 'Cut-off', cell: ({ cutoff }) => formatDay(cutoff) },
          { key: 'rows', head: 'Seals known', numeric: true, cell: ({ rows }) => formatNumber(rows) },
          { key: 'failures', head: 'Failed by then', numeric: true, cell: ({ failures }) => formatNumber(failures) },
          {
            key: 'readings',
            head: 'Damaged shares used',
            numeric: true,
            cell: ({ readings, readsShares }) => (readsShares ? formatNumber(readings) : 'none'),
          },
          {
            key: 'judged',
            head: 'Looks after it',
            numeric: true,
            cell: ({ cutoff }) => formatNumber(backtest.model.byCutoff.find(({ label }) => label === cutoff)?.trials),
          },
          {
            key: 'status',
            head: 'Fit',
            cell: ({ status, note }) => (
              <span className="words">{note ?? (status === 'ok' ? 'converged' : status)}</span>
            ),
          },
        ]}
      />
      <details>
        <summary>The lives that the simple methods used</summary>
        <FixedLives lives={backtest.fixedLives} />
      </details>
    </section>
  );
}

function FixedLives({ lives }: { lives: BacktestEvidence['fixedLives'] }) {
  const classes = [...new Set(lives.flatMap(({ classes: each }) => each.map(({ sealantClass }) => sealantClass)))];
  return (
    <DataTable
      caption="Median life of each class as known at each cut-off date, years"
      rows={classes}
      rowKey={(sealantClass) => sealantClass}
      columns={[
        { key: 'class', head: 'Sealant class', cell: (sealantClass) => labelOf(SEALANT_CLASS_LABELS, sealantClass) },
        ...lives.map(({ cutoff, classes: each }) => ({
          key: cutoff,
          head: formatDay(cutoff),
          numeric: true,
          cell: (wanted: string) => {
            const found = each.find(({ sealantClass }) => sealantClass === wanted);
            return found ? formatNumber(found.medianYears, 1) : NOT_KNOWN;
          },
        })),
      ]}
    />
  );
}
