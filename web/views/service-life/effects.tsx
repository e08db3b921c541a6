import { useMemo } from 'react';
import type { ModelReport } from '../../../server/schemas/model.ts';
import { formatInterval, formatNumber } from '../../state/format.ts';
import { CLIMATE_ZONE_LABELS } from '../../state/words.ts';
import { DataTable } from '../shared/data-table.tsx';
import { PlotPicture } from '../shared/plot-picture.tsx';
import { SvgDownload } from '../shared/svg-download.tsx';
import { type RatioLine, ratioChart, ratioChartHeight } from './ratio-chart.ts';
import { useNarrow } from './use-narrow.ts';

/** What makes seals last longer or shorter: covariates, and the climate zones as a whole. */
export function Effects({ report }: { report: ModelReport }) {
  const { effects, climateZones } = report;
  const effectLines = useMemo(() => effects.map(({ label, lifeRatio }) => ({ label, ratio: lifeRatio })), [effects]);
  const zoneLines = useMemo(
    () => climateZones.map(({ zone, lifeRatio }) => ({ label: CLIMATE_ZONE_LABELS[zone], ratio: lifeRatio })),
    [climateZones],
  );
  return (
    <>
      {effects.length > 0 && (
        <section className="card stack" aria-labelledby="effects-title">
          <RatioFigure id="effects-title" title="What changes it" name="life-effects" lines={effectLines}>
            Left of 1 a seal lasts shorter, right of it longer, all else equal. Bars are 80 % intervals; one that
            crosses 1 may be no effect at all.
          </RatioFigure>
          <DataTable
            caption="What each covariate does"
            captionUnseen
            rows={effects}
            rowKey={({ name }) => name}
            columns={[
              {
                key: 'label',
                head: 'Covariate',
                cell: ({ label, step }) => (
                  <span className="words">
                    {label}
                    <span className="step">{step}</span>
                  </span>
                ),
              },
              {
                key: 'ratio',
                head: 'Times as long (80 %)',
                numeric: true,
                cell: ({ lifeRatio }) => formatInterval(lifeRatio, 2),
              },
              { key: 'sentence', head: 'In words', cell: ({ sentence }) => <span className="words">{sentence}</span> },
              {
                key: 'reason',
                head: 'Why it is in the model',
                cell: ({ reason }) => <span className="words">{reason}</span>,
              },
              {
                key: 'missing',
                head: 'Seals without a value',
                numeric: true,
                cell: ({ missing }) => formatNumber(missing),
              },
            ]}
          />
          <p className="small soft">A seal without a value took the average of the network.</p>
        </section>
      )}
      {climateZones.length > 0 && (
        <section className="card stack" aria-labelledby="zones-title">
          <RatioFigure id="zones-title" title="Climate zones" name="life-climate-zones" lines={zoneLines}>
            The four climate zones of the Long-Term Pavement Performance program, from the weather record nearest to
            each segment.
          </RatioFigure>
          <DataTable
            caption="Life by climate zone"
            captionUnseen
            rows={climateZones}
            rowKey={({ zone }) => zone}
            columns={[
              { key: 'zone', head: 'Climate zone', cell: ({ zone }) => CLIMATE_ZONE_LABELS[zone] },
              { key: 'segments', head: 'Segments', numeric: true, cell: ({ segments }) => formatNumber(segments) },
              {
                key: 'ratio',
                head: 'Times as long (80 %)',
                numeric: true,
                cell: ({ lifeRatio }) => formatInterval(lifeRatio, 2),
              },
              { key: 'sentence', head: 'In words', cell: ({ sentence }) => <span className="words">{sentence}</span> },
            ]}
          />
        </section>
      )}
    </>
  );
}

function RatioFigure({
  id,
  title,
  name,
  lines,
  children,
}: {
  id: string;
  title: string;
  name: string;
  lines: readonly RatioLine[];
  children: string;
}) {
  const narrow = useNarrow();
  const options = useMemo(() => ratioChart(lines, narrow), [lines, narrow]);
  const said = lines.map(({ label, ratio }) => `${label} ${formatInterval(ratio, 2)}`).join('; ');
  return (
    <figure className="stack">
      <figcaption className="stack">
        <div className="row">
          <h2 id={id}>{title}</h2>
          <SvgDownload name={name} />
        </div>
        <p className="small soft">{children}</p>
      </figcaption>
      <PlotPicture options={options} height={ratioChartHeight(lines)} label={`Times as long a seal lasts: ${said}`} />
    </figure>
  );
}
