import * as Plot from '@observablehq/plot';
import { type FoundRow, isOutside } from '../../state/evidence-calibration.ts';
import { PLOT_INK } from '../shared/plot-picture.tsx';

const percent = (share: number): string => `${Number((share * 100).toFixed(1))} %`;

/** Share found failed against share forecast, by tenths: on the slanted line where the forecast is right. */
export function calibrationChart(rows: readonly FoundRow[], narrow: boolean): Plot.PlotOptions {
  const most = Math.max(0.1, ...rows.flatMap(({ forecast, found, upper }) => [forecast, found, upper]));
  const end = Math.min(1, Math.ceil(most * 10 + 0.3) / 10);
  const place = { x: 'forecast', y: 'found', stroke: 'var(--slab)', strokeWidth: 1.25 };
  const tickFormat = percent;
  return {
    x: {
      domain: [0, end],
      label: 'Forecast to fail',
      labelAnchor: 'center',
      labelArrow: 'none',
      tickFormat,
      ticks: narrow ? 4 : 8,
    },
    y: { domain: [0, end], label: 'Found failed', tickFormat, grid: true, ticks: 6 },
    marginLeft: 48,
    marginBottom: 44,
    marginTop: 26,
    marginRight: 24,
    marks: [
      Plot.link([end], { x1: 0, y1: 0, x2: end, y2: end, stroke: PLOT_INK.ink, strokeWidth: 1 }),
      Plot.ruleX(rows, {
        x: 'forecast',
        y1: 'lower',
        y2: 'upper',
        stroke: PLOT_INK.accent,
        strokeOpacity: 0.35,
        strokeWidth: narrow ? 9 : 14,
      }),
      Plot.dot(
        rows.filter((row) => !isOutside(row)),
        { ...place, r: 5, fill: PLOT_INK.ink },
      ),
      Plot.dot(rows.filter(isOutside), { ...place, r: 6.5, symbol: 'diamond', fill: PLOT_INK.fault }),
      Plot.ruleY([0], { stroke: PLOT_INK.line }),
    ],
  };
}
