import * as Plot from '@observablehq/plot';
import { useMemo } from 'react';
import type { Budget } from '../../../server/schemas/budget.ts';
import { amountOf, type BudgetView, largestIn, moneyWords, type Scale, scaleFor } from '../../state/budget-scale.ts';
import { type BudgetColumn, budgetBlocks, TOTAL_KEY } from '../../state/budget-table.ts';
import { formatNumber } from '../../state/format.ts';
import { labelOf, SEALANT_CLASS_LABELS } from '../../state/words.ts';
import { PLOT_INK, PlotPicture } from '../shared/plot-picture.tsx';
import { useUnits } from '../shared/preferences.ts';
import { SvgDownload } from '../shared/svg-download.tsx';

/** Median and 80 % interval of each year; in groups as small pictures on one scale, since medians cannot be stacked. */
export function BudgetChart({ budget, view }: { budget: Budget; view: BudgetView }) {
  const units = useUnits();
  const { columns, scale, highest } = useMemo(() => {
    // One picture for every district and class would be too many to read: both are compared in the table.
    const grouping = view.grouping === 'both' ? 'district' : view.grouping;
    const blocks = budgetBlocks(budget, grouping);
    const shown = blocks[0].columns.filter(({ key }, _, all) => all.length === 1 || key !== TOTAL_KEY);
    const largest = largestIn([{ district: null, columns: shown }], view, budget);
    return {
      columns: shown,
      highest: largest,
      scale: scaleFor({ measure: view.measure, largest, units, currency: budget.currency }),
    };
  }, [budget, view, units]);
  const what = view.measure === 'cost' ? `Cost, ${scale.unit}, ${moneyWords(view, budget)}` : `Length, ${scale.unit}`;
  const single = columns.length === 1;
  return (
    <figure className="stack">
      <figcaption className="row">
        <p className="small">
          <strong>{what}.</strong> Bars are medians, lines their 80&nbsp;% intervals.
        </p>
        {single && <SvgDownload name={`budget-${view.measure === 'cost' ? 'cost' : 'length'}`} />}
      </figcaption>
      <div className={single ? undefined : 'budget-multiples'}>
        {columns.map((column) => (
          <YearBars key={column.key} {...{ column, budget, view, scale, highest, single }} />
        ))}
      </div>
    </figure>
  );
}

interface BarsProps {
  column: BudgetColumn;
  budget: Budget;
  view: BudgetView;
  scale: Scale;
  highest: number;
  single: boolean;
}

function YearBars({ column, budget, view, scale, highest, single }: BarsProps) {
  const name = column.district ?? (column.sealantClass ? labelOf(SEALANT_CLASS_LABELS, column.sealantClass) : 'Total');
  const bars = useMemo(
    () =>
      column.amounts.flatMap((amount) => {
        if (!amount) return [];
        const { median, lower, upper } = amountOf(amount, view, budget);
        return [
          {
            year: amount.year,
            median: median * scale.factor,
            lower: lower * scale.factor,
            upper: upper * scale.factor,
          },
        ];
      }),
    [column, view, budget, scale],
  );
  const options = useMemo(
    () => barOptions(bars, { years: budget.years, highest: highest * scale.factor, large: single }),
    [bars, budget.years, highest, scale, single],
  );
  const peak = bars.reduce((most, bar) => (bar.median > most.median ? bar : most), bars[0]);
  const label = peak
    ? `${name}: bars for each year; highest in ${peak.year} with ${formatNumber(peak.median, scale.decimals)} ${scale.unit}`
    : `${name}: nothing falls due`;
  return (
    <div>
      {!single && <h3 className="budget-multiple-name">{name}</h3>}
      <PlotPicture options={options} height={single ? 320 : 150} label={label} />
    </div>
  );
}

interface Bar {
  year: number;
  median: number;
  lower: number;
  upper: number;
}

const barOptions = (
  bars: readonly Bar[],
  { years, highest, large }: { years: readonly number[]; highest: number; large: boolean },
): Plot.PlotOptions => ({
  x: {
    type: 'band',
    domain: years,
    padding: 0.25,
    label: null,
    tickFormat: String,
    tickSize: 0,
    ticks: years.filter((year) => year % 5 === 0),
  },
  y: {
    domain: [0, highest || 1],
    nice: true,
    grid: true,
    label: null,
    ticks: large ? 6 : 3,
    tickFormat: (value: number) => formatNumber(value, highest < 5 ? 1 : 0),
  },
  marginLeft: 54,
  marginRight: 4,
  marginTop: 10,
  marginBottom: 24,
  marks: [
    Plot.barY(bars, { x: 'year', y: 'median', fill: PLOT_INK.accent, fillOpacity: 0.55 }),
    Plot.ruleX(bars, { x: 'year', y1: 'lower', y2: 'upper', stroke: PLOT_INK.ink, strokeWidth: large ? 1.75 : 1 }),
    ...(large
      ? [
          Plot.tickY(bars, { x: 'year', y: 'lower', stroke: PLOT_INK.ink, inset: 4 }),
          Plot.tickY(bars, { x: 'year', y: 'upper', stroke: PLOT_INK.ink, inset: 4 }),
        ]
      : []),
    Plot.ruleY([0], { stroke: PLOT_INK.line }),
  ],
});
