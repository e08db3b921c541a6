import * as Plot from '@observablehq/plot';
import { useMemo } from 'react';
import type { Program } from '../../../../server/schemas/program.ts';
import { type MoneyOf, type Scale, scaledMedian, scaledRange, scaleFor } from '../../../state/budget-scale.ts';
import { formatLength, formatNumber } from '../../../state/format.ts';
import { type DistrictSpending, districtSpending, MOST_DRAWN_DISTRICTS } from '../../../state/program-spending.ts';
import { EvidenceFigure } from '../../evidence/figure.tsx';
import { useNarrow } from '../../service-life/use-narrow.ts';
import { PLOT_INK } from '../../shared/plot-picture.tsx';
import { useUnits } from '../../shared/preferences.ts';

const ROW_PX = 110;

/** Spending in each district, one above the other on one scale: medians cannot be stacked. */
export function DistrictFigure({ program, moneyOf }: { program: Program; moneyOf: MoneyOf }) {
  const units = useUnits();
  const narrow = useNarrow();
  const { rows, order } = useMemo(() => districtSpending(program, moneyOf), [program, moneyOf]);
  const drawn = useMemo(() => order.slice(0, MOST_DRAWN_DISTRICTS), [order]);
  const scale = useMemo(() => {
    const largest = Math.max(0, ...rows.map(({ cost }) => cost.upper));
    return scaleFor({ measure: 'cost', largest, units, currency: program.currency });
  }, [rows, units, program.currency]);
  const options = useMemo(() => districtChart(rows, drawn, scale, narrow), [rows, drawn, scale, narrow]);
  return (
    <EvidenceFigure
      title="Spending by district"
      name="program-districts"
      note={
        <>
          In {scale.unit} {moneyOf === 'each-year' ? 'of each year' : `of ${program.priceYear}`}; bars are medians,
          lines their 80 % intervals.
          {order.length > drawn.length && ` Drawn: the ${drawn.length} with most; all are in the table.`}
        </>
      }
      picture={{
        options,
        height: 44 + ROW_PX * drawn.length,
        label: `Spending by district and year in ${scale.unit}. ${drawn.map((district) => peakOf(district, rows, scale)).join('; ')}`,
      }}
      rows={rows}
      file={() => [
        ['district', 'year', 'lengthM', 'costMedian', 'costLower80', 'costUpper80'],
        ...rows.map(({ district, year, lengthM, cost }) => [
          district,
          year,
          lengthM,
          cost.median,
          cost.lower,
          cost.upper,
        ]),
      ]}
      columns={[
        { key: 'district', head: 'District', cell: ({ district }) => district },
        { key: 'year', head: 'Year', cell: ({ year }) => year },
        { key: 'length', head: 'Length', numeric: true, cell: ({ lengthM }) => formatLength(lengthM, units) },
        { key: 'cost', head: `Cost, ${scale.unit}`, numeric: true, cell: ({ cost }) => scaledMedian(cost, scale) },
        { key: 'range', head: '80 % interval', numeric: true, cell: ({ cost }) => scaledRange(cost, scale) },
      ]}
    />
  );
}

function peakOf(district: string, rows: readonly DistrictSpending[], scale: Scale): string {
  const own = rows.filter((row) => row.district === district);
  const peak = own.reduce((most, row) => (row.cost.median > most.cost.median ? row : most), own[0]);
  return `${district}: highest in ${peak.year} with ${scaledMedian(peak.cost, scale)}`;
}

function districtChart(
  rows: readonly DistrictSpending[],
  drawn: readonly string[],
  { factor }: Scale,
  narrow: boolean,
): Plot.PlotOptions {
  const bars = rows
    .filter(({ district }) => drawn.includes(district))
    .map(({ district, year, cost }) => ({
      district,
      year,
      median: cost.median * factor,
      lower: cost.lower * factor,
      upper: cost.upper * factor,
    }));
  const years = [...new Set(bars.map(({ year }) => year))];
  const every = narrow ? 5 : years.length > 24 ? 5 : 2;
  return {
    x: {
      type: 'band',
      padding: 0.25,
      label: null,
      tickFormat: String,
      tickSize: 0,
      ticks: years.filter((year) => year % every === 0),
    },
    y: {
      grid: true,
      nice: true,
      zero: true,
      label: null,
      ticks: 3,
      tickFormat: (value: number) => formatNumber(value),
    },
    fy: { domain: [...drawn], label: null, axis: null, padding: 0.3 },
    marginLeft: 56,
    marginTop: 26,
    marginBottom: 26,
    marginRight: 4,
    marks: [
      Plot.barY(bars, { fy: 'district', x: 'year', y: 'median', fill: PLOT_INK.accent, fillOpacity: 0.55 }),
      Plot.ruleX(bars, { fy: 'district', x: 'year', y1: 'lower', y2: 'upper', stroke: PLOT_INK.ink }),
      Plot.ruleY(drawn, { fy: (district: string) => district, y: 0, stroke: PLOT_INK.line }),
      Plot.text(drawn, {
        fy: (district: string) => district,
        text: (district: string) => district,
        frameAnchor: 'top-left',
        dx: 4,
        dy: -12,
        fontWeight: 650,
      }),
    ],
  };
}
