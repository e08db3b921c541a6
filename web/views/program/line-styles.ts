import type { Baseline } from '../../../server/schemas/program.ts';
import { BASELINE_LABELS } from '../../state/program-words.ts';
import { PLOT_INK } from '../shared/plot-picture.tsx';
import type { LineStyle } from './line-chart.ts';

/** Baselines are told apart by their dashes; their ink stays behind that of programs. */
const BASELINE_DASHES: Readonly<Record<Baseline, string>> = {
  nothing: '1 4',
  'worst-first': '9 4',
  'fixed-cycle': '4 3',
  'all-needs-met': '12 3 2 3',
};

export const isBaseline = (key: string): key is Baseline => Object.hasOwn(BASELINE_DASHES, key);

export const baselineStyle = (baseline: Baseline): LineStyle => ({
  label: BASELINE_LABELS[baseline],
  stroke: PLOT_INK.soft,
  dash: BASELINE_DASHES[baseline],
  width: 1.75,
  fan: false,
});

const PROGRAM: LineStyle = { label: 'This program', stroke: PLOT_INK.accent, width: 2.5, fan: true };

/** One program and its baselines. */
export const programLineStyle = (key: string): LineStyle => (isBaseline(key) ? baselineStyle(key) : PROGRAM);
