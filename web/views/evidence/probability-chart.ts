import * as Plot from '@observablehq/plot';
import type { ProbabilityPlot } from '../../../server/schemas/evidence-diagnostics.ts';
import { PLOT_INK } from '../shared/plot-picture.tsx';
import { logAxisX } from './log-axis.ts';

/** The paper of a family: log age across, quantile of the share failed upwards; a right fit of like seals is straight. */
export function probabilityChart(plot: ProbabilityPlot, narrow: boolean): Plot.PlotOptions {
  const ages = agesOf(plot);
  const [bottom, top] = quantilesOf(plot, ages);
  const shown = apart(
    plot.axis.filter(({ quantile }) => quantile >= bottom - 1e-9 && quantile <= top + 1e-9),
    top - bottom,
  );
  const shareAt = new Map(shown.map(({ failed, quantile }) => [quantile, failed]));
  const boxes = plot.boxes
    .filter((box) => box.fromYears < ages[1])
    .map((box) => ({
      x1: Math.max(ages[0], box.fromYears),
      x2: Math.min(ages[1], box.toYears ?? ages[1]),
      y1: box.quantileBefore ?? bottom,
      y2: box.quantileAfter ?? top,
    }))
    .filter(({ x1, x2 }) => x2 > x1);
  const banded = plot.line.map((point) => ({
    ...point,
    lowerYears: Math.max(ages[0], point.lowerYears ?? ages[0]),
    upperYears: Math.min(ages[1], point.upperYears ?? ages[1]),
  }));
  return {
    x: { type: 'log', domain: ages, axis: null },
    y: {
      domain: [bottom, top],
      label: 'Failed',
      labelArrow: 'none',
      ticks: shown.map(({ quantile }) => quantile),
      tickFormat: (quantile: number) => `${Number(((shareAt.get(quantile) ?? 0) * 100).toFixed(1))} %`,
      grid: true,
    },
    marginLeft: 50,
    marginBottom: 44,
    marginTop: 26,
    marginRight: 14,
    clip: true,
    marks: [
      logAxisX(ticksFor(ages, narrow), 'Age of the seal, years'),
      Plot.areaX(banded, {
        y: 'quantile',
        x1: 'lowerYears',
        x2: 'upperYears',
        fill: PLOT_INK.accent,
        fillOpacity: 0.22,
      }),
      Plot.rect(boxes, {
        x1: 'x1',
        x2: 'x2',
        y1: 'y1',
        y2: 'y2',
        fill: PLOT_INK.chalk,
        fillOpacity: 0.3,
        stroke: PLOT_INK.chalk,
        strokeWidth: 0.75,
      }),
      Plot.line(plot.line, { x: 'ageYears', y: 'quantile', stroke: PLOT_INK.accent, strokeWidth: 2.25 }),
    ],
  };
}

/** Ages from a fortieth of the oldest on record, and not far beyond it: there the line only leads the eye away. */
function agesOf({ line, boxes }: ProbabilityPlot): [number, number] {
  const seen = boxes.map(({ fromYears, toYears }) => toYears ?? fromYears).filter((age) => age > 0);
  const byFit = line.map(({ ageYears }) => ageYears);
  const last = seen.length > 0 ? Math.max(...seen) * 1.4 : Math.max(2, ...byFit);
  return [Math.max(last / 40, Math.min(last / 2, ...byFit)), last];
}

/** As far down and up as the fit goes within those ages, ending at marked shares. */
function quantilesOf({ axis, line, boxes }: ProbabilityPlot, [first, last]: [number, number]): [number, number] {
  const marked = axis.map(({ quantile }) => quantile);
  const seen = [
    ...line.filter(({ ageYears }) => ageYears >= first && ageYears <= last).map(({ quantile }) => quantile),
    ...boxes.map(({ quantileAfter }) => quantileAfter).filter((quantile) => quantile !== null),
  ];
  if (seen.length === 0) return [Math.min(...marked), Math.max(...marked)];
  const [least, most] = [Math.min(...seen), Math.max(...seen)];
  return [
    Math.max(...marked.filter((quantile) => quantile <= least), Math.min(...marked)),
    Math.min(...marked.filter((quantile) => quantile >= most), Math.max(...marked)),
  ];
}

/** Marks of the vertical axis that can be read one from another. */
function apart(marks: ProbabilityPlot['axis'], whole: number): ProbabilityPlot['axis'] {
  const kept: ProbabilityPlot['axis'] = [];
  for (const mark of marks) {
    const last = kept.at(-1);
    if (last === undefined || mark.quantile - last.quantile >= LEAST_TICK_GAP * whole) kept.push(mark);
  }
  return kept;
}

const LEAST_TICK_GAP = 0.05;
const AGE_TICKS = [0.5, 1, 2, 3, 5, 7, 10, 15, 20, 30, 40, 60];
const NARROW_AGE_TICKS = [0.5, 1, 2, 5, 10, 20, 40];
const ticksFor = ([first, last]: [number, number], narrow: boolean): number[] =>
  (narrow ? NARROW_AGE_TICKS : AGE_TICKS).filter((age) => age >= first && age <= last);
