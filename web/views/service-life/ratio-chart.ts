import * as Plot from '@observablehq/plot';
import type { Interval } from '../../../server/schemas/common.ts';
import { PLOT_INK } from '../shared/plot-picture.tsx';

/** One line of the picture: how many times as long a seal lasts. */
export interface RatioLine {
  readonly label: string;
  readonly ratio: Interval;
}

const TICKS = [0.25, 0.33, 0.5, 0.67, 0.8, 1, 1.25, 1.5, 2, 3, 4];
const FINE_TICKS = [0.8, 0.85, 0.9, 0.95, 1, 1.05, 1.1, 1.15, 1.2];
/** Ratios nearer to 1 than this look like what they are: much the same. */
const LEAST_REACH = 1.25;

/** Widest ratio that must be seen, the same to both sides of 1, so that halving and doubling look alike. */
export function ratioDomain(lines: readonly RatioLine[], leastReach = LEAST_REACH): [number, number] {
  const reach = Math.max(
    leastReach,
    ...lines
      .flatMap(({ ratio }) => [ratio.lower, ratio.upper])
      .map((ratio) => (ratio > 0 ? Math.max(ratio, 1 / ratio) : 1)),
  );
  const rounded = reach * 1.05;
  return [1 / rounded, rounded];
}

/** Height that gives each line its row, px. */
export const ratioChartHeight = (lines: readonly RatioLine[]): number => 48 + lines.length * 30;

/** Dots with their 80 % intervals on a logarithmic axis with 1, "as long", in the middle. */
export function ratioChart(
  lines: readonly RatioLine[],
  narrow: boolean,
  { axisLabel = 'Lasts … times as long', leastReach = LEAST_REACH } = {},
): Plot.PlotOptions {
  const domain = ratioDomain(lines, leastReach);
  const ticks = (domain[1] < LEAST_REACH ? FINE_TICKS : TICKS).filter((tick) => tick >= domain[0] && tick <= domain[1]);
  return {
    x: { type: 'log', domain, axis: null },
    y: { domain: lines.map(({ label }) => label), label: null, axis: null },
    marginLeft: narrow ? 130 : 210,
    marginRight: 16,
    marginBottom: 44,
    marginTop: 8,
    marks: [
      Plot.gridX(ticks),
      // The text is given, since a logarithmic axis leaves out labels that it thinks too many.
      Plot.axisX(ticks, {
        text: (ratio: number) => String(ratio),
        label: axisLabel,
        labelAnchor: 'center',
        labelArrow: 'none',
        labelOffset: 36,
      }),
      Plot.axisY({ tickSize: 0, lineWidth: narrow ? 9 : 17, label: null }),
      Plot.ruleX([1], { stroke: PLOT_INK.ink, strokeWidth: 1.5 }),
      Plot.ruleY(lines, {
        x1: ({ ratio }: RatioLine) => ratio.lower,
        x2: ({ ratio }: RatioLine) => ratio.upper,
        y: 'label',
        stroke: PLOT_INK.accent,
        strokeWidth: 3,
      }),
      Plot.dot(lines, {
        x: ({ ratio }: RatioLine) => ratio.median,
        y: 'label',
        r: 5,
        fill: PLOT_INK.accent,
        stroke: 'var(--slab)',
        strokeWidth: 1.5,
      }),
    ],
  };
}
