import * as Plot from '@observablehq/plot';
import type { Interval } from '../../../server/schemas/common.ts';
import { spreadLabels, type YearLine } from '../../state/program-spending.ts';
import { PLOT_INK } from '../shared/plot-picture.tsx';

/** How a line is drawn and what stands at its end. */
export interface LineStyle {
  readonly label: string;
  readonly stroke: string;
  /** As of SVG; undefined: solid. */ readonly dash?: string;
  readonly width: number;
  /** Drawn with its 80 % interval. */ readonly fan: boolean;
}

interface Wants {
  readonly lines: readonly YearLine[];
  readonly styleOf: (key: string) => LineStyle;
  readonly axis: string;
  readonly format: (value: number) => string;
  readonly height: number;
  readonly narrow: boolean;
  /** Bounds that were asked for: drawn across the years that they hold in. */
  readonly bounds?: readonly { readonly from: number; readonly to: number; readonly at: number }[];
}

const MARGIN = { top: 26, bottom: 28, left: 56 };
const LABEL_PX = 15;

interface Point {
  readonly year: number;
  readonly median: number;
  readonly lower: number;
  readonly upper: number;
}
const pointsOf = ({ points }: YearLine): Point[] =>
  points.map(({ year, value: { median, lower, upper } }: { year: number; value: Interval }) => ({
    year,
    median,
    lower,
    upper,
  }));

/** Lines over years with their intervals as fans, each named at its end. */
export function lineChart({ lines, styleOf, axis, format, height, narrow, bounds = [] }: Wants): Plot.PlotOptions {
  const drawn = lines.map((line) => ({ style: styleOf(line.key), points: pointsOf(line) }));
  const highest = Math.max(
    ...drawn.flatMap(({ style, points }) => points.map((point) => (style.fan ? point.upper : point.median))),
    ...bounds.map(({ at }) => at),
    1e-9,
  );
  const years = drawn.flatMap(({ points }) => points.map(({ year }) => year));
  const domain: [number, number] = [Math.min(...years), Math.max(...years)];
  const labelled = drawn.length > 1 ? drawn.filter(({ points }) => points.length > 0) : [];
  return {
    x: { domain, label: null, tickFormat: String, ticks: ticksOf(domain, narrow ? 5 : 10), line: true },
    y: { domain: [0, highest * 1.05], label: axis, labelArrow: 'none', tickFormat: format, grid: true, ticks: 5 },
    marginLeft: MARGIN.left,
    marginTop: MARGIN.top,
    marginBottom: MARGIN.bottom,
    marginRight: labelled.length === 0 ? 16 : narrow ? 92 : 150,
    marks: [
      ...drawn.filter(({ style }) => style.fan).map(({ style, points }) => fanOf(style, points)),
      ...bounds.map(({ from, to, at }) =>
        Plot.link([at], {
          x1: from,
          x2: to,
          y1: at,
          y2: at,
          stroke: PLOT_INK.chalk,
          strokeWidth: 2,
          strokeDasharray: '7 4',
        }),
      ),
      ...drawn.map(({ style, points }) => lineOf(style, points)),
      ...labelsOf(labelled, { height, highest: highest * 1.05, narrow }),
      Plot.ruleY([0], { stroke: PLOT_INK.line }),
    ],
  };
}

const fanOf = ({ stroke }: LineStyle, points: Point[]): Plot.Markish =>
  Plot.areaY(points, { x: 'year', y1: 'lower', y2: 'upper', fill: stroke, fillOpacity: 0.18, curve: 'monotone-x' });

const lineOf = ({ stroke, dash, width }: LineStyle, points: Point[]): Plot.Markish =>
  Plot.lineY(points, {
    x: 'year',
    y: 'median',
    stroke,
    strokeWidth: width,
    strokeDasharray: dash,
    curve: 'monotone-x',
    // One year alone makes no line.
    marker: points.length === 1 ? 'dot' : undefined,
  });

function labelsOf(
  drawn: readonly { style: LineStyle; points: Point[] }[],
  { height, highest, narrow }: { height: number; highest: number; narrow: boolean },
): Plot.Markish[] {
  const room = height - MARGIN.top - MARGIN.bottom;
  const ends = drawn.map(({ points }) => MARGIN.top + room * (1 - (points.at(-1)?.median ?? 0) / highest));
  const places = spreadLabels(ends, LABEL_PX, [MARGIN.top, height - MARGIN.bottom]);
  return drawn.map(({ style, points }, index) =>
    Plot.text(points.slice(-1), {
      x: 'year',
      y: 'median',
      text: () => shortened(style.label, narrow ? 13 : 22),
      dx: 6,
      dy: places[index] - ends[index],
      textAnchor: 'start',
      fill: style.stroke,
      fontWeight: style.width > 2 ? 650 : 450,
      stroke: 'var(--slab)',
      strokeWidth: 3,
    }),
  );
}

const shortened = (label: string, characters: number): string =>
  label.length <= characters ? label : `${label.slice(0, characters - 1).trimEnd()}…`;

/** Whole years, evenly apart, not more than so many. */
function ticksOf([first, last]: readonly [number, number], most: number): number[] {
  const step = [1, 2, 5, 10, 20].find((each) => (last - first) / each < most) ?? 20;
  const start = Math.ceil(first / step) * step;
  return Array.from({ length: Math.floor((last - start) / step) + 1 }, (_, i) => start + i * step);
}
