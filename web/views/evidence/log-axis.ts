import * as Plot from '@observablehq/plot';

/** Horizontal axis of a logarithmic scale with every tick named; left alone, Plot hides the names of some. */
export const logAxisX = (ticks: readonly number[], label: string) =>
  Plot.axisX(ticks, {
    text: (tick: number) => String(tick),
    label,
    labelAnchor: 'center',
    labelArrow: 'none',
    labelOffset: 36,
  });
