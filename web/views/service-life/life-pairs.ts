import * as Plot from '@observablehq/plot';
import type { Interval } from '../../../server/schemas/common.ts';
import { logAxisX } from '../evidence/log-axis.ts';
import { PLOT_INK } from '../shared/plot-picture.tsx';

/** Median life of one class twice, each with its 80 % interval, years. null: not known, nothing is drawn. */
export interface LifePair {
  readonly label: string;
  readonly first: Interval | null;
  readonly second: Interval | null;
}

const FEW_AGES = [1, 2, 5, 10, 20, 50, 100, 200];
const AGES = [1, 2, 3, 5, 7, 10, 15, 20, 30, 50, 70, 100, 200];

export const lifePairsHeight = (pairs: readonly LifePair[]): number => 64 + pairs.length * 38;

/** The first of each pair dashed and above, the second below it. */
export function lifePairsChart(pairs: readonly LifePair[], narrow: boolean): Plot.PlotOptions {
  const ends = pairs.flatMap(({ first, second }) => [first, second]).filter((life) => life !== null);
  const domain = [
    Math.min(...ends.map(({ lower }) => lower)) * 0.95,
    Math.max(...ends.map(({ upper }) => upper)) * 1.05,
  ];
  const ticks = (narrow ? FEW_AGES : AGES).filter((age) => age >= domain[0] && age <= domain[1]);
  const part = (lifeOf: (pair: LifePair) => Interval | null, dy: number, colour: string, dash?: string) => {
    const known = pairs.filter((pair) => lifeOf(pair) !== null);
    return [
      Plot.ruleY(known, {
        x1: (pair: LifePair) => lifeOf(pair)?.lower,
        x2: (pair: LifePair) => lifeOf(pair)?.upper,
        y: 'label',
        dy,
        stroke: colour,
        strokeWidth: 3,
        strokeDasharray: dash,
      }),
      Plot.dot(known, {
        x: (pair: LifePair) => lifeOf(pair)?.median,
        y: 'label',
        dy,
        r: 4.5,
        fill: colour,
        stroke: 'var(--slab)',
      }),
    ];
  };
  return {
    x: { type: 'log', domain, ticks, grid: true, axis: null },
    y: { domain: pairs.map(({ label }) => label), label: null, axis: null },
    marginLeft: narrow ? 124 : 204,
    marginRight: 18,
    marginBottom: 44,
    marginTop: 10,
    marks: [
      Plot.axisY({ tickSize: 0, lineWidth: narrow ? 9 : 15, label: null }),
      logAxisX(ticks, 'Median life, years'),
      ...part(({ first }) => first, -6, PLOT_INK.chalk, '6 4'),
      ...part(({ second }) => second, 6, PLOT_INK.accent),
    ],
  };
}
