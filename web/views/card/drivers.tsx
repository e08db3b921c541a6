import { useQuery } from '@tanstack/react-query';
import { useMemo } from 'react';
import type { DriverEffect, DriverStep, Drivers } from '../../../server/schemas/drivers.ts';
import { fetchDrivers } from '../../api/drivers.ts';
import { describeError } from '../../api/request.ts';
import { failureYearText } from '../../state/drivers.ts';
import { formatInterval, formatShare } from '../../state/format.ts';
import { ratioChart, ratioChartHeight } from '../service-life/ratio-chart.ts';
import { ChartFrame } from '../shared/chart-frame.tsx';
import { DataTable } from '../shared/data-table.tsx';
import { PlotPicture } from '../shared/plot-picture.tsx';
import { ladderPlot } from './ladder-plot.ts';

/** Where a forecast comes from: what was believed, the class's records, the segment's conditions, its inspections. */
export function ForecastDrivers({ segmentId, planningYear }: { segmentId: string; planningYear: number }) {
  const query = useQuery({
    queryKey: ['drivers', segmentId],
    queryFn: ({ signal }) => fetchDrivers(segmentId, signal),
  });
  if (query.data) return <DriversParts drivers={query.data} planningYear={planningYear} />;
  return (
    <section>
      <h3>What drives this forecast</h3>
      {query.isError ? (
        <p className="small soft">Not known. {describeError(query.error)}</p>
      ) : (
        <p className="small soft" role="status">
          Working it out…
        </p>
      )}
    </section>
  );
}

function DriversParts({ drivers, planningYear }: { drivers: Drivers; planningYear: number }) {
  return (
    <>
      <Ladder drivers={drivers} planningYear={planningYear} />
      <Information drivers={drivers} />
      {drivers.effects.length + drivers.levels.length > 0 && <OwnEffects drivers={drivers} />}
    </>
  );
}

function Ladder({ drivers, planningYear }: { drivers: Drivers; planningYear: number }) {
  const options = useMemo(() => ladderPlot(drivers, planningYear), [drivers, planningYear]);
  const said = drivers.steps.map((step) => `${step.label}: ${failureYearText(step.failureYear)}`).join('; ');
  return (
    <ChartFrame
      title="What drives this forecast"
      note={`${drivers.summary} Each line adds to the one above: the median year of failure and its 80 % interval.`}
      picture={<PlotPicture options={options} height={200} label={`Year of failure. ${said}`} />}
      table={
        <DataTable<DriverStep>
          caption="What drives this forecast"
          captionUnseen
          rows={drivers.steps}
          rowKey={({ step }) => step}
          columns={[
            { key: 'step', head: 'Known up to here', cell: ({ label }) => <span className="cell-words">{label}</span> },
            {
              key: 'year',
              head: 'Year of failure (80 %)',
              numeric: true,
              cell: ({ failureYear }) => failureYearText(failureYear),
            },
            {
              key: 'share',
              head: 'Share of what is known',
              numeric: true,
              cell: ({ informationShare }) => formatShare(informationShare),
            },
            { key: 'words', head: 'In words', cell: ({ sentence }) => <span className="cell-words">{sentence}</span> },
          ]}
        />
      }
    />
  );
}

/** The four shares as one bar, and each with its words. */
function Information({ drivers: { steps, leftOpenShare, informationNote } }: { drivers: Drivers }) {
  return (
    <section className="information">
      <h4>Where the knowledge comes from</h4>
      <div className="information-bar" aria-hidden="true">
        {steps.map(({ step, informationShare }) => (
          <span key={step} className={step} style={{ flexGrow: informationShare }} />
        ))}
      </div>
      <ul className="information-list small">
        {steps.map(({ step, label, informationShare, sentence }) => (
          <li key={step}>
            <span className={`information-swatch ${step}`} aria-hidden="true" />
            <span>
              <strong>
                {label}: {formatShare(informationShare)}
              </strong>
              <br />
              <span className="soft">{sentence}</span>
            </span>
          </li>
        ))}
      </ul>
      <p className="small">
        Still open: {formatShare(leftOpenShare)} of the spread of life of a seal of which nothing is known.
      </p>
      <details>
        <summary>How these shares are reckoned</summary>
        <p className="small soft">{informationNote}</p>
      </details>
    </section>
  );
}

type OwnEffect = Pick<DriverEffect, 'name' | 'label' | 'lifeRatio' | 'valueText' | 'sentence'>;

function OwnEffects({ drivers: { effects, levels, together } }: { drivers: Drivers }) {
  const rows = useMemo((): OwnEffect[] => [...levels, ...effects], [levels, effects]);
  const lines = useMemo(() => rows.map(({ label, lifeRatio }) => ({ label, ratio: lifeRatio })), [rows]);
  const options = useMemo(() => ratioChart(lines, true), [lines]);
  const said = lines.map(({ label, ratio }) => `${label} ${formatInterval(ratio, 2)}`).join('; ');
  return (
    <ChartFrame
      title="What its place and making do"
      level={4}
      note={`Against a seal of its class at the network’s averages it lasts ${formatInterval(together, 2)} times as long, all together (80 % interval). A bar that crosses 1 may be no effect at all.`}
      picture={
        <PlotPicture
          options={options}
          height={ratioChartHeight(lines)}
          label={`Times as long as at the average: ${said}`}
        />
      }
      table={
        <DataTable<OwnEffect>
          caption="What its place and making do"
          captionUnseen
          rows={rows}
          rowKey={({ name }) => name}
          columns={[
            { key: 'label', head: 'What', cell: ({ label }) => <span className="cell-words">{label}</span> },
            {
              key: 'ratio',
              head: 'Times as long (80 %)',
              numeric: true,
              cell: ({ lifeRatio }) => formatInterval(lifeRatio, 2),
            },
            { key: 'value', head: 'Here', cell: ({ valueText }) => <span className="cell-words">{valueText}</span> },
            { key: 'words', head: 'In words', cell: ({ sentence }) => <span className="cell-words">{sentence}</span> },
          ]}
        />
      }
    />
  );
}
