import * as Plot from '@observablehq/plot';
import { PLOT_INK } from '../shared/plot-picture.tsx';
import { logAxisX } from './log-axis.ts';

/** One line of a picture: a value with an interval. null: not known, nothing is drawn. */
export interface IntervalLine {
  readonly label: string;
  readonly value: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  /** What was forecast, as a tick; left out where the interval is that of the value. */ readonly forecast?: number;
  /** Drawn as a diamond of another colour: beyond chance. */ readonly outside?: boolean;
}

interface IntervalChart {
  readonly lines: readonly IntervalLine[];
  readonly axis: string;
  readonly narrow: boolean;
  readonly kind: 'share' | 'ratio' | 'difference';
  /** Where the value stands when all is right. */ readonly reference: number | null;
  /** Shares: the axis begins here unless a value is smaller; 0 when left out. */ readonly from?: number;
}

const RATIO_TICKS = [0.1, 0.2, 0.33, 0.5, 0.67, 0.8, 1, 1.25, 1.5, 2, 3, 5, 10];
const FEW_RATIO_TICKS = [0.1, 0.2, 0.5, 1, 2, 5, 10];
/** Ratios beyond this are drawn at the edge: an empty group has a ratio of 0 and no place on a logarithmic axis. */
const WIDEST_RATIO = 10;

/** Height that gives each line its row, px. */
export const intervalChartHeight = (lines: readonly IntervalLine[]): number => 60 + Math.max(1, lines.length) * 30;

/** Dots with their intervals, one row each. With `forecast` the bar is where the dot should lie, else how sure it is. */
export function intervalChart({ lines, axis, narrow, kind, reference, from = 0 }: IntervalChart): Plot.PlotOptions {
  const scale = kind === 'ratio' ? ratioScale(lines, narrow) : plainScale(lines, { kind, reference, narrow, from });
  const namedTicks = Array.isArray(scale.ticks) ? scale.ticks : undefined;
  const [least, most] = scale.domain;
  const held = (value: number): number => Math.min(most, Math.max(least, value));
  const barred = lines.filter(({ lower, upper }) => lower !== null && upper !== null);
  const dotted = lines.filter(({ value }) => value !== null);
  const ofForecast = lines.some(({ forecast }) => forecast !== undefined);
  const ends = {
    x1: ({ lower }: IntervalLine) => held(lower ?? least),
    x2: ({ upper }: IntervalLine) => held(upper ?? most),
    y: 'label',
  };
  return {
    x: { ...scale, label: axis, labelAnchor: 'center', labelArrow: 'none', grid: true, axis: namedTicks && null },
    y: { domain: lines.map(({ label }) => label), label: null, axis: null },
    marginLeft: narrow ? 124 : 204,
    marginRight: 18,
    marginBottom: 44,
    marginTop: 10,
    marks: [
      Plot.axisY({ tickSize: 0, lineWidth: narrow ? 9 : 15, label: null }),
      ...(namedTicks ? [logAxisX(namedTicks, axis)] : []),
      ...(reference === null ? [] : [Plot.ruleX([reference], { stroke: PLOT_INK.ink, strokeWidth: 1.25 })]),
      ofForecast
        ? Plot.ruleY(barred, { ...ends, stroke: PLOT_INK.accent, strokeOpacity: 0.35, strokeWidth: 12 })
        : Plot.ruleY(barred, { ...ends, stroke: PLOT_INK.accent, strokeWidth: 3 }),
      Plot.tickX(
        lines.filter(({ forecast }) => forecast !== undefined),
        {
          x: ({ forecast }: IntervalLine) => held(forecast ?? least),
          y: 'label',
          insetTop: 6,
          insetBottom: 6,
          stroke: PLOT_INK.accent,
          strokeWidth: 2.25,
        },
      ),
      ...dots(dotted, held, ofForecast),
    ],
  };
}

/** Shape and colour tell together which lie beyond chance. */
function dots(lines: readonly IntervalLine[], held: (value: number) => number, ofForecast: boolean) {
  const place = {
    x: ({ value }: IntervalLine) => held(value ?? 0),
    y: 'label',
    stroke: 'var(--slab)',
    strokeWidth: 1.25,
  };
  return [
    Plot.dot(
      lines.filter(({ outside }) => !outside),
      { ...place, r: 5, fill: ofForecast ? PLOT_INK.ink : PLOT_INK.accent },
    ),
    Plot.dot(
      lines.filter(({ outside }) => outside),
      { ...place, r: 6, symbol: 'diamond', fill: PLOT_INK.fault },
    ),
  ];
}

function ratioScale(lines: readonly IntervalLine[], narrow: boolean) {
  const reach = lines
    .flatMap(({ value, lower, upper }) => [value, lower, upper])
    .map((ratio) => (ratio === null || ratio <= 0 ? 1 : Math.max(ratio, 1 / ratio)))
    .reduce((a, b) => Math.max(a, b), 1.3);
  const rounded = Math.min(WIDEST_RATIO, reach * 1.05);
  const domain: [number, number] = [1 / rounded, rounded];
  // Between a fifth and five times the names of all ticks have room.
  const wanted = rounded > (narrow ? 1.6 : 5) ? FEW_RATIO_TICKS : RATIO_TICKS;
  const ticks = wanted.filter((tick) => tick >= domain[0] && tick <= domain[1]);
  return { type: 'log' as const, domain, ticks };
}

function plainScale(
  lines: readonly IntervalLine[],
  {
    kind,
    reference,
    narrow,
    from,
  }: Required<Pick<IntervalChart, 'reference' | 'narrow' | 'from'>> & { kind: 'share' | 'difference' },
) {
  const values = lines
    .flatMap(({ value, lower, upper, forecast }) => [value, lower, upper, forecast ?? null, reference])
    .filter((value) => value !== null);
  const ticks = narrow ? 4 : kind === 'difference' ? 5 : 8;
  const [least, most] = [Math.min(...values, from), Math.max(...values, from + 0.01)];
  const room = (most - least) * 0.06;
  if (kind === 'difference') return { domain: [least - room, most + room], ticks };
  const domain = [Math.max(0, least), Math.min(1, most + room)];
  return { domain, ticks, tickFormat: (share: number) => `${Number((share * 100).toFixed(1))} %` };
}
