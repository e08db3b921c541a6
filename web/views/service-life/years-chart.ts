import * as Plot from '@observablehq/plot';
import type { CalendarYear } from '../../../server/schemas/years.ts';
import { PLOT_INK } from '../shared/plot-picture.tsx';

/** Years as far from the average as this look like what they are: much the same. */
const LEAST_REACH = 1.5;
const TICKS = [0.25, 0.33, 0.5, 0.67, 0.8, 1, 1.25, 1.5, 2, 3, 4];

/** Failure rate of each calendar year over that of an average one, with 80 % intervals; halving and doubling look alike. */
export function yearsChart(years: readonly CalendarYear[], narrow: boolean): Plot.PlotOptions {
  const ends = years.flatMap(({ rateRatio }) => [rateRatio.upper, 1 / rateRatio.lower]);
  const reach = 1.05 * Math.max(LEAST_REACH, ...ends);
  const ticks = TICKS.filter((tick) => tick >= 1 / reach && tick <= reach);
  const every = narrow ? 4 : 2;
  const named = years.map(({ year }) => year).filter((year) => year % every === 0);
  return {
    x: { type: 'linear', domain: [years[0].year - 0.5, years[years.length - 1].year + 0.5], axis: null },
    y: { type: 'log', domain: [1 / reach, reach], axis: null },
    marginLeft: 52,
    marginRight: 16,
    marginBottom: 44,
    marginTop: 28,
    marks: [
      Plot.gridY(ticks),
      Plot.axisY(ticks, {
        text: (ratio: number) => String(ratio),
        label: 'Failure rate, times the average',
        labelArrow: 'none',
      }),
      Plot.axisX(named, { text: String, label: 'Calendar year', labelAnchor: 'center', labelArrow: 'none' }),
      Plot.ruleY([1], { stroke: PLOT_INK.ink, strokeWidth: 1.5 }),
      Plot.ruleX(years, {
        x: 'year',
        y1: ({ rateRatio }: CalendarYear) => rateRatio.lower,
        y2: ({ rateRatio }: CalendarYear) => rateRatio.upper,
        stroke: PLOT_INK.accent,
        strokeWidth: 3,
      }),
      Plot.dot(years, {
        x: 'year',
        y: ({ rateRatio }: CalendarYear) => rateRatio.median,
        r: narrow ? 3.5 : 5,
        fill: PLOT_INK.accent,
        stroke: 'var(--slab)',
        strokeWidth: 1.5,
      }),
    ],
  };
}
