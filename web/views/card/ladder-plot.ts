import * as Plot from '@observablehq/plot';
import type { DriverStep, Drivers } from '../../../server/schemas/drivers.ts';
import { ladderSpan, STEP_LABELS } from '../../state/drivers.ts';
import { PLOT_INK } from '../shared/plot-picture.tsx';

/** The forecast as it narrows, step by step; the last line is the forecast itself. */
export function ladderPlot(drivers: Drivers, planningYear: number): Plot.PlotOptions {
  const { steps, installed } = drivers;
  const { from, to } = ladderSpan(drivers);
  const label = ({ step }: DriverStep) => STEP_LABELS[step];
  const isLast = ({ step }: DriverStep) => step === 'inspections';
  const colour = (step: DriverStep) => (isLast(step) ? PLOT_INK.accent : PLOT_INK.soft);
  const median = ({ failureYear }: DriverStep) => failureYear.median;
  const open = steps.filter(({ failureYear }) => failureYear.upper === null);
  const late = planningYear > from + (to - from) * 0.75;
  return {
    x: { domain: [from, to], label: null, tickFormat: 'd', tickSpacing: 60, grid: true, insetRight: 6 },
    y: { domain: steps.map(label), label: null, axis: null },
    marginLeft: 118,
    marginRight: 14,
    marginTop: 22,
    marks: [
      Plot.axisY({ tickSize: 0, lineWidth: 9, label: null }),
      Plot.ruleX([planningYear], { stroke: PLOT_INK.chalk, strokeWidth: 1.5, strokeDasharray: '4 3' }),
      Plot.text([planningYear], {
        x: (year: number) => year,
        frameAnchor: 'top',
        text: () => `planning year ${planningYear}`,
        textAnchor: late ? 'end' : 'start',
        lineAnchor: 'bottom',
        dx: late ? 3 : -3,
        dy: -5,
        fill: PLOT_INK.chalk,
      }),
      Plot.ruleX([installed], { stroke: PLOT_INK.line, strokeWidth: 1.5 }),
      Plot.line(
        steps.filter((step) => median(step) !== null),
        { x: median, y: label, stroke: PLOT_INK.line, strokeDasharray: '2 3' },
      ),
      Plot.ruleY(steps, {
        x1: ({ failureYear }: DriverStep) => failureYear.lower ?? to,
        x2: ({ failureYear }: DriverStep) => failureYear.upper ?? to,
        y: label,
        stroke: colour,
        strokeWidth: 3.5,
      }),
      Plot.text(open, { x: () => to, y: label, text: () => '→', dx: 4, fill: colour, fontWeight: 700 }),
      Plot.dot(steps, { x: median, y: label, r: 5, fill: colour, stroke: 'var(--slab)', strokeWidth: 1.5 }),
    ],
  };
}
