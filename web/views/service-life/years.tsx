import { useMemo } from 'react';
import type { CalendarYear, YearsReport } from '../../../server/schemas/years.ts';
import { formatInterval, formatNumber } from '../../state/format.ts';
import { DataTable } from '../shared/data-table.tsx';
import { PlotPicture } from '../shared/plot-picture.tsx';
import { SvgDownload } from '../shared/svg-download.tsx';
import { useNarrow } from './use-narrow.ts';
import { yearsChart } from './years-chart.ts';

/** How much calendar years differ, from how many, and that intervals of totals have it in them. */
export function Years({ report }: { report: YearsReport }) {
  const { told, beyondChance, sentence, inIntervals, years } = report;
  const badge = told ? (beyondChance ? 'differ beyond chance' : 'no more than chance') : 'assumed';
  return (
    <section className="card stack" aria-labelledby="years-title">
      <div className="row">
        <h2 id="years-title">Good years and bad ones</h2>
        <span className={`badge ${beyondChance ? 'accent' : ''}`}>{badge}</span>
      </div>
      <p className="model-sentence">{sentence}</p>
      <p>{inIntervals}</p>
      {told && <YearFigure years={years} />}
    </section>
  );
}

function YearFigure({ years }: { years: readonly CalendarYear[] }) {
  const narrow = useNarrow();
  const options = useMemo(() => yearsChart(years, narrow), [years, narrow]);
  const ratios = years.map(({ year, rateRatio }) => `${year} ${formatInterval(rateRatio, 2)}`).join('; ');
  return (
    <figure className="stack">
      <figcaption className="row">
        <p className="small soft">
          Failure rate of each year over that of an average year, with 80 % intervals, drawn in to 1 where little was
          expected. A failure lies in some year between the last look that found the seal sound and the one that found
          it failed; it is shared out over these.
        </p>
        <SvgDownload name="calendar-years" />
      </figcaption>
      <PlotPicture options={options} height={260} label={`Failure rate, times that of an average year: ${ratios}`} />
      <details>
        <summary>Year by year</summary>
        <DataTable
          caption="Calendar years"
          captionUnseen
          maxHeight="24rem"
          rows={years}
          rowKey={({ year }) => year}
          columns={[
            { key: 'year', head: 'Year', cell: ({ year }) => String(year) },
            {
              key: 'ratio',
              head: 'Times the average (80 %)',
              numeric: true,
              cell: ({ rateRatio }) => formatInterval(rateRatio, 2),
            },
            { key: 'failures', head: 'Failures', numeric: true, cell: ({ failures }) => formatNumber(failures, 1) },
            {
              key: 'expected',
              head: 'Expected on average',
              numeric: true,
              cell: ({ expected }) => formatNumber(expected, 1),
            },
          ]}
        />
      </details>
    </figure>
  );
}
