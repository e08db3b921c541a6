import * as Plot from '@observablehq/plot';
import type { ComparisonRow } from '../../../server/schemas/models.ts';
import { type ComparisonMeasure, shortLabels } from '../../state/comparison.ts';
import { PLOT_INK } from '../shared/plot-picture.tsx';

/** Height that gives each model its row, px. */
export const compareChartHeight = (rows: readonly ComparisonRow[], narrow: boolean): number =>
  68 + rows.length * (narrow ? 40 : 28);

/** Small gaps decide, large ones only say "no": the axis is stretched near 0. */
interface GapScale {
  readonly label: string;
  readonly even: number;
  readonly ticks: readonly number[];
}
const GAPS: Readonly<Record<'score' | 'aic', GapScale>> = {
  score: {
    label: 'Log score above the best',
    even: 0.001,
    ticks: [0, 0.001, 0.01, 0.1, 1],
  },
  aic: { label: 'AIC above the best', even: 2, ticks: [0, 2, 10, 100, 1000, 10_000, 100_000] },
};

/** One row for each model, the best on top; a ring round the present one. */
export function compareChart(
  rows: readonly ComparisonRow[],
  measure: ComparisonMeasure,
  narrow: boolean,
): Plot.PlotOptions {
  const labels = shortLabels(rows);
  const y = (row: ComparisonRow) => labels.get(row);
  const current = rows.filter((row) => row.current);
  const place = measure === 'lives' ? medianOf : gapOf(rows, measure);
  return {
    x: measure === 'lives' ? LIFE_AXIS : gapAxis(GAPS[measure], rows.map(place)),
    y: { domain: rows.map(y), label: null, axis: null },
    marginLeft: narrow ? 130 : 250,
    marginRight: 20,
    marginTop: 8,
    marginBottom: 44,
    marks: [
      Plot.axisY({ tickSize: 0, lineWidth: narrow ? 9 : 20, label: null }),
      ...(measure === 'aic' ? [Plot.ruleX([2, 10], { stroke: PLOT_INK.chalk, strokeDasharray: '4 3' })] : []),
      ...(measure === 'lives'
        ? lifeMarks(rows, y)
        : [Plot.ruleY(rows, { x1: 0, x2: place, y, stroke: PLOT_INK.accent, strokeWidth: 2 })]),
      Plot.dot(rows, { x: place, y, r: 5, fill: PLOT_INK.accent, stroke: 'var(--slab)', strokeWidth: 1.5 }),
      Plot.dot(current, { x: place, y, r: 10, fill: 'none', stroke: PLOT_INK.ink, strokeWidth: 1.5 }),
    ],
  };
}

const COMMON_AXIS = {
  labelAnchor: 'center',
  labelArrow: 'none',
  labelOffset: 36,
  grid: true,
  insetLeft: 12,
  insetRight: 12,
} as const;
const LIFE_AXIS: Plot.ScaleOptions = { ...COMMON_AXIS, label: 'Age of the seal, years', zero: true, nice: true };

function gapAxis({ label, even, ticks }: GapScale, gaps: readonly (number | null)[]): Plot.ScaleOptions {
  const most = Math.max(even * 5, ...gaps.map((gap) => gap ?? 0));
  return {
    ...COMMON_AXIS,
    type: 'symlog',
    constant: even,
    domain: [0, most],
    ticks: ticks.filter((tick) => tick <= most),
    tickFormat: (gap: number) => gap.toLocaleString('en-GB'),
    label,
  };
}

const medianOf = (row: ComparisonRow): number | null => row.medianLifeYears?.median ?? null;

function gapOf(rows: readonly ComparisonRow[], measure: 'score' | 'aic') {
  if (measure === 'aic') return (row: ComparisonRow) => row.aicDifference;
  const best = Math.min(...rows.map(({ backTestLogScore }) => backTestLogScore ?? Number.POSITIVE_INFINITY));
  return ({ backTestLogScore }: ComparisonRow) => (backTestLogScore === null ? null : backTestLogScore - best);
}

const lifeMarks = (rows: readonly ComparisonRow[], y: (row: ComparisonRow) => string | undefined): Plot.Markish[] => [
  Plot.ruleY(rows, {
    x1: (row: ComparisonRow) => row.medianLifeYears?.lower,
    x2: (row: ComparisonRow) => row.medianLifeYears?.upper,
    y,
    stroke: PLOT_INK.accent,
    strokeWidth: 3,
  }),
  Plot.dot(rows, {
    x: (row: ComparisonRow) => row.tenPercentLifeYears?.median,
    y,
    r: 4,
    fill: 'var(--slab)',
    stroke: PLOT_INK.accent,
    strokeWidth: 1.5,
  }),
];
