import * as Plot from '@observablehq/plot';
import type { ComparisonRow } from '../../../server/schemas/models.ts';
import type { ComparisonMeasure } from '../../state/comparison.ts';
import { PLOT_INK } from '../shared/plot-picture.tsx';

const ROW_PX = 35;

/** Height that gives each model its row, px. */
export const compareChartHeight = (rows: readonly ComparisonRow[]): number => 60 + rows.length * ROW_PX;

const AXIS: Readonly<Record<ComparisonMeasure, string>> = {
  score: 'Back-test log score',
  aic: 'AIC above the best',
  lives: 'Age of the seal, years',
};

const scoreOf = (row: ComparisonRow): number | null => row.backTestLogScore;
const differenceOf = (row: ComparisonRow): number | null => row.aicDifference;

/** One row for each model, the best on top; a ring round the present one. */
export function compareChart(
  rows: readonly ComparisonRow[],
  measure: ComparisonMeasure,
  narrow: boolean,
): Plot.PlotOptions {
  const current = rows.filter((row) => row.current);
  const y = 'label';
  const place = measure === 'lives' ? (row: ComparisonRow) => row.medianLifeYears?.median ?? null : readerOf(measure);
  return {
    x: {
      label: AXIS[measure],
      labelAnchor: 'center',
      labelArrow: 'none',
      grid: true,
      zero: measure !== 'score',
      nice: true,
      insetLeft: 10,
      insetRight: 10,
      ticks: narrow ? 4 : 8,
    },
    y: { domain: rows.map(({ label }) => label), label: null, axis: null },
    marginLeft: narrow ? 140 : 300,
    marginRight: 16,
    marginTop: 8,
    marginBottom: 44,
    marks: [
      Plot.axisY({ tickSize: 0, lineWidth: narrow ? 10 : 25, label: null }),
      ...(measure === 'lives' ? lifeMarks(rows) : stemMarks(rows, measure)),
      Plot.dot(rows, { x: place, y, r: 5, fill: PLOT_INK.accent, stroke: 'var(--slab)', strokeWidth: 1.5 }),
      Plot.dot(current, { x: place, y, r: 10, fill: 'none', stroke: PLOT_INK.ink, strokeWidth: 1.5 }),
    ],
  };
}

const readerOf = (measure: 'score' | 'aic') => (measure === 'score' ? scoreOf : differenceOf);

/** A stem from the best, so that the gap is what is seen. */
function stemMarks(rows: readonly ComparisonRow[], measure: 'score' | 'aic'): Plot.Markish[] {
  const value = readerOf(measure);
  const best = Math.min(...rows.map((row) => value(row) ?? Number.POSITIVE_INFINITY));
  return [
    Plot.ruleX([best], { stroke: PLOT_INK.line }),
    Plot.ruleY(rows, { x1: () => best, x2: value, y: 'label', stroke: PLOT_INK.accent, strokeWidth: 2 }),
  ];
}

const lifeMarks = (rows: readonly ComparisonRow[]): Plot.Markish[] => [
  Plot.ruleY(rows, {
    x1: (row: ComparisonRow) => row.medianLifeYears?.lower,
    x2: (row: ComparisonRow) => row.medianLifeYears?.upper,
    y: 'label',
    stroke: PLOT_INK.accent,
    strokeWidth: 3,
  }),
  Plot.dot(rows, {
    x: (row: ComparisonRow) => row.tenPercentLifeYears?.median,
    y: 'label',
    r: 4,
    fill: 'var(--slab)',
    stroke: PLOT_INK.accent,
    strokeWidth: 1.5,
  }),
];
