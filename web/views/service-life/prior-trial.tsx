import { useMemo } from 'react';
import type { PriorTrial } from '../../../server/schemas/priors.ts';
import { formatDay, formatInterval, formatNumber } from '../../state/format.ts';
import { labelOf, SEALANT_CLASS_LABELS } from '../../state/words.ts';
import { DataTable } from '../shared/data-table.tsx';
import { PlotPicture } from '../shared/plot-picture.tsx';
import { Banner } from '../shared/states.tsx';
import { lifePairsChart, lifePairsHeight } from './life-pairs.ts';
import { useNarrow } from './use-narrow.ts';

/** What the beliefs that were tried would change: medians with the saved ones, and with those. */
export function PriorTrialResult({ trial }: { trial: PriorTrial }) {
  const { madeAt, outdated, summary, classes, shape } = trial;
  const narrow = useNarrow();
  const pairs = useMemo(
    () =>
      classes.map(({ sealantClass, saved, tried }) => ({
        label: labelOf(SEALANT_CLASS_LABELS, sealantClass),
        first: saved,
        second: tried,
      })),
    [classes],
  );
  const options = useMemo(() => lifePairsChart(pairs, narrow), [pairs, narrow]);
  if (madeAt === null) return null;
  return (
    <section className="card stack" aria-labelledby="trial-title">
      <h2 id="trial-title">What the tried beliefs would change</h2>
      {outdated && (
        <Banner kind="caution">Records, settings or saved beliefs have changed since. Try again to trust it.</Banner>
      )}
      <p className="model-sentence">{summary}</p>
      <p className="small soft">
        Tried on {formatDay(madeAt)}, on the same records and settings: only what is believed differs. No forecast has
        changed. Intervals are 80 %.
      </p>
      {pairs.length > 0 && (
        <figure className="stack">
          <figcaption>
            <ul className="chart-key small">
              <li>
                <span className="swatch before" aria-hidden="true" /> with the beliefs that were saved then
              </li>
              <li>
                <span className="swatch after" aria-hidden="true" /> with those tried
              </li>
            </ul>
          </figcaption>
          <PlotPicture
            options={options}
            height={lifePairsHeight(pairs)}
            label={`Median lives with the saved beliefs and with those tried. ${classes.map(({ sentence }, k) => `${pairs[k].label}: ${sentence}`).join(' ')}`}
          />
        </figure>
      )}
      <DataTable
        caption="Median lives with the saved beliefs and with those tried"
        captionUnseen
        rows={classes}
        rowKey={({ sealantClass }) => sealantClass}
        columns={[
          {
            key: 'class',
            head: 'Sealant class',
            cell: ({ sealantClass }) => labelOf(SEALANT_CLASS_LABELS, sealantClass),
          },
          {
            key: 'believed',
            head: 'Believed, years',
            numeric: true,
            cell: ({ believedYears: { saved, tried } }) =>
              saved === tried ? formatNumber(saved, 1) : `${formatNumber(saved, 1)} → ${formatNumber(tried, 1)}`,
          },
          { key: 'saved', head: 'Fitted, saved beliefs', numeric: true, cell: ({ saved }) => formatInterval(saved, 2) },
          { key: 'tried', head: 'Fitted, those tried', numeric: true, cell: ({ tried }) => formatInterval(tried, 2) },
          { key: 'words', head: 'Change', cell: ({ sentence }) => <span className="words">{sentence}</span> },
          {
            key: 'failures',
            head: 'Failed, of seals',
            numeric: true,
            cell: ({ failures, observations }) => `${formatNumber(failures)} of ${formatNumber(observations)}`,
          },
        ]}
      />
      {shape && (
        <p>
          Shape: {formatInterval(shape.saved, 2)} with the saved beliefs, {formatInterval(shape.tried, 2)} with those
          tried.
        </p>
      )}
    </section>
  );
}
