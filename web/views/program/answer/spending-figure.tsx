import * as Plot from '@observablehq/plot';
import { useMemo } from 'react';
import type { Program } from '../../../../server/schemas/program.ts';
import { type MoneyOf, type Scale, scaledMedian, scaledRange, scaleFor } from '../../../state/budget-scale.ts';
import { formatNumber, formatShare } from '../../../state/format.ts';
import { type YearSpending, yearlySpending } from '../../../state/program-spending.ts';
import { EvidenceFigure, MarkKey } from '../../evidence/figure.tsx';
import { useNarrow } from '../../service-life/use-narrow.ts';
import { PLOT_INK } from '../../shared/plot-picture.tsx';
import { useUnits } from '../../shared/preferences.ts';

const HEIGHT = 320;

/** What is spent each year under its budget. */
export function SpendingFigure({ program, moneyOf }: { program: Program; moneyOf: MoneyOf }) {
  const units = useUnits();
  const narrow = useNarrow();
  const rows = useMemo(() => yearlySpending(program, moneyOf), [program, moneyOf]);
  const scale = useMemo(() => {
    const largest = Math.max(...rows.map(({ cost, limit }) => Math.max(cost.upper, limit ?? 0)));
    return scaleFor({ measure: 'cost', largest, units, currency: program.currency });
  }, [rows, units, program.currency]);
  const options = useMemo(() => spendingChart(rows, scale, narrow), [rows, scale, narrow]);
  const limited = rows.some(({ limit }) => limit !== null);
  return (
    <EvidenceFigure
      title="Spending and budget"
      name="program-spending"
      note={
        <>
          Work with mobilisation and traffic control, in {scale.unit}{' '}
          {moneyOf === 'each-year' ? 'of each year' : `of ${program.priceYear}`}. The budget holds for expected cost; a
          year may turn out dearer or cheaper, as its interval shows.
          <MarkKey
            marks={[
              ['bar', 'median'],
              ['thin-line', '80 % interval'],
              ...(limited ? ([['limit', 'budget']] as const) : []),
            ]}
          />
        </>
      }
      picture={{ options, height: HEIGHT, label: said(rows, scale) }}
      rows={rows}
      file={() => [
        ['year', 'costMedian', 'costLower80', 'costUpper80', 'budget', 'usedShare'],
        ...rows.map(({ year, cost, limit, usedShare }) => [
          year,
          cost.median,
          cost.lower,
          cost.upper,
          limit,
          usedShare,
        ]),
      ]}
      columns={[
        { key: 'year', head: 'Year', cell: ({ year }) => year },
        { key: 'cost', head: `Cost, ${scale.unit}`, numeric: true, cell: ({ cost }) => scaledMedian(cost, scale) },
        { key: 'range', head: '80 % interval', numeric: true, cell: ({ cost }) => scaledRange(cost, scale) },
        {
          key: 'limit',
          head: 'Budget',
          numeric: true,
          cell: ({ limit }) => (limit === null ? 'no limit' : formatNumber(limit * scale.factor, scale.decimals)),
        },
        { key: 'used', head: 'Used', numeric: true, cell: ({ usedShare }) => formatShare(usedShare) },
      ]}
    />
  );
}

function said(rows: readonly YearSpending[], scale: Scale): string {
  const parts = rows.map(({ year, cost, limit }) => {
    const budget = limit === null ? '' : ` of ${formatNumber(limit * scale.factor, scale.decimals)}`;
    return `${year}: ${scaledMedian(cost, scale)}${budget}`;
  });
  return `Spending each year in ${scale.unit}, and its budget. ${parts.join('; ')}`;
}

function spendingChart(rows: readonly YearSpending[], scale: Scale, narrow: boolean): Plot.PlotOptions {
  const bars = rows.map(({ year, cost, limit }) => ({
    year,
    median: cost.median * scale.factor,
    lower: cost.lower * scale.factor,
    upper: cost.upper * scale.factor,
    limit: limit === null ? Number.NaN : limit * scale.factor,
  }));
  const every = narrow ? 5 : rows.length > 24 ? 5 : 2;
  return {
    x: {
      type: 'band',
      padding: 0.25,
      label: null,
      tickFormat: String,
      tickSize: 0,
      ticks: rows.map(({ year }) => year).filter((year) => year % every === 0),
    },
    y: {
      grid: true,
      nice: true,
      zero: true,
      label: scale.unit,
      labelArrow: 'none',
      ticks: 6,
      tickFormat: (value: number) => formatNumber(value),
    },
    marginLeft: 56,
    marginTop: 26,
    marginBottom: 26,
    marginRight: 4,
    marks: [
      Plot.barY(bars, { x: 'year', y: 'median', fill: PLOT_INK.accent, fillOpacity: 0.55 }),
      Plot.ruleX(bars, { x: 'year', y1: 'lower', y2: 'upper', stroke: PLOT_INK.ink, strokeWidth: 1.5 }),
      Plot.tickY(
        bars.filter(({ limit }) => Number.isFinite(limit)),
        { x: 'year', y: 'limit', stroke: PLOT_INK.chalk, strokeWidth: 3, insetLeft: -4, insetRight: -4 },
      ),
      Plot.ruleY([0], { stroke: PLOT_INK.line }),
    ],
  };
}
