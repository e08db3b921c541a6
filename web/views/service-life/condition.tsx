import { useMemo } from 'react';
import type { ConditionReport } from '../../../server/schemas/model.ts';
import { formatInterval, formatNumber } from '../../state/format.ts';
import { ChartFrame } from '../shared/chart-frame.tsx';
import { DataTable } from '../shared/data-table.tsx';
import { Readout } from '../shared/page.tsx';
import { PlotPicture } from '../shared/plot-picture.tsx';
import { Banner } from '../shared/states.tsx';
import { ratioChart, ratioChartHeight } from './ratio-chart.ts';
import { useNarrow } from './use-narrow.ts';

/** What damage below the failure threshold tells of life, and whether forecasts learn from it. */
export function Condition({ condition }: { condition: ConditionReport }) {
  const { used, sentence, warnings, growthLaw, exponent, readingSd, inspectorSd, sampling } = condition;
  return (
    <section className="card stack" aria-labelledby="condition-title">
      <div className="row">
        <h2 id="condition-title">What partial damage tells</h2>
        <span className={`badge ${used ? 'accent' : ''}`}>{used ? 'used in forecasts' : 'not used'}</span>
      </div>
      <p className="model-sentence">{sentence}</p>
      {growthLaw && <p>{growthLaw}</p>}
      {warnings.map((warning) => (
        <Banner key={warning} kind="caution">
          {warning}
        </Banner>
      ))}
      <dl className="readouts">
        <Readout name="Damaged shares read" value={formatNumber(condition.readings)} more="by the network’s method" />
        <Readout
          name="Seals with partial damage"
          value={formatNumber(condition.sealsWithShare)}
          more={`${formatNumber(condition.sealsWithTwoShares)} of them seen so twice or more`}
        />
        {exponent && (
          <Readout name="Damage grows as age to the power" value={formatInterval(exponent, 2)} more="80 % interval" />
        )}
        {readingSd && (
          <Readout
            name="Error of one reading"
            value={formatInterval(readingSd, 3)}
            more={`about ${formatNumber(readingSd.median * 100)}\u00a0% of a small share; 80 % interval`}
          />
        )}
        {inspectorSd !== null && (
          <Readout
            name="Spread between inspectors"
            value={formatNumber(inspectorSd, 3)}
            more="same scale as the error of one reading"
          />
        )}
      </dl>
      {condition.inspectors.length > 0 && <Inspectors inspectors={condition.inspectors} />}
      {sampling && (
        <p className="small soft">
          The draws of these parameters are worth {formatNumber(sampling.effectiveSampleSize)} independent ones
          {sampling.paretoK !== null && `; Pareto k ${formatNumber(sampling.paretoK, 2)}`}.
        </p>
      )}
    </section>
  );
}

const MOST_DRAWN = 12;

function Inspectors({ inspectors: unordered }: Pick<ConditionReport, 'inspectors'>) {
  const narrow = useNarrow();
  const inspectors = useMemo(
    () => [...unordered].sort((a, b) => b.readsTimes.median - a.readsTimes.median),
    [unordered],
  );
  const lines = useMemo(
    () => furthest(inspectors).map(({ name, readsTimes }) => ({ label: name, ratio: readsTimes })),
    [inspectors],
  );
  const options = useMemo(
    () => ratioChart(lines, narrow, { axisLabel: 'Reads … times the damage', leastReach: 1.1 }),
    [lines, narrow],
  );
  return (
    <ChartFrame
      title="How inspectors read"
      note={`Right of 1 an inspector reads more damage than the average one on the same seals, left of it less; bars are 80 % intervals, drawn in to the average where readings are few. Forecasts allow for it.${lines.length < inspectors.length ? ` Drawn: the ${lines.length} furthest from the average of ${inspectors.length}.` : ''}`}
      picture={
        <PlotPicture
          options={options}
          height={ratioChartHeight(lines)}
          label={`Times the damage that each reads: ${lines.map(({ label, ratio }) => `${label} ${formatInterval(ratio, 2)}`).join('; ')}`}
        />
      }
      table={
        <DataTable
          caption="How inspectors read"
          captionUnseen
          maxHeight="22rem"
          rows={inspectors}
          rowKey={({ name }) => name}
          columns={[
            { key: 'name', head: 'Inspector', cell: ({ name }) => name },
            {
              key: 'times',
              head: 'Times the damage (80 %)',
              numeric: true,
              cell: ({ readsTimes }) => formatInterval(readsTimes, 2),
            },
            { key: 'readings', head: 'Readings', numeric: true, cell: ({ readings }) => formatNumber(readings) },
            {
              key: 'shift',
              head: 'Shift on the model’s scale (80 %)',
              numeric: true,
              cell: ({ shift }) => formatInterval(shift, 2),
            },
            { key: 'words', head: 'In words', cell: ({ sentence }) => <span className="words">{sentence}</span> },
          ]}
        />
      }
    />
  );
}

/** Those furthest from the average, in the order given. */
function furthest(inspectors: ConditionReport['inspectors']): ConditionReport['inspectors'] {
  const ranked = [...inspectors].sort((a, b) => Math.abs(b.shift.median) - Math.abs(a.shift.median));
  const kept = new Set(ranked.slice(0, MOST_DRAWN));
  return inspectors.filter((inspector) => kept.has(inspector));
}
