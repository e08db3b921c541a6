import { groupRows } from '../numeric/group-rows.ts';
import type { TrialCells } from './predictive-pass.ts';
import type { Trials } from './trial-table.ts';

/** Cells of like cut-off, district, class, climate zone and time ahead. */
export interface TrialGrid extends TrialCells {
  /** One trial of each cell. */ readonly firstTrial: Int32Array;
  /** Step of time ahead of each trial. */ readonly horizon: Int32Array;
  readonly horizonLabels: readonly string[];
}

/** `edgesYears`: rising ends of the steps of time ahead; looks beyond the last are in a step of their own. */
export function trialGrid(trials: Trials, edgesYears: readonly number[]): TrialGrid {
  const { count, cutoff, district, sealantClass, climateZone, leadYears } = trials;
  const horizon = Int32Array.from(leadYears, (lead) => {
    const step = edgesYears.findIndex((edge) => lead <= edge);
    return step < 0 ? edgesYears.length : step;
  });
  const keys = new Float64Array(5 * count);
  for (let i = 0; i < count; i++)
    keys.set([cutoff[i], district[i], sealantClass[i], climateZone[i], horizon[i]], 5 * i);
  const { groupOf, firstRow } = groupRows(keys, count, 5);
  return {
    count: firstRow.length,
    of: groupOf,
    firstTrial: firstRow,
    horizon,
    horizonLabels: [
      ...edgesYears.map((edge, k) => `${edgesYears[k - 1] ?? 0} to ${edge} years ahead`),
      `more than ${edgesYears.at(-1) ?? 0} years ahead`,
    ],
  };
}

/** A way of sorting trials that never divides a cell of the grid. */
export interface TrialGrouping {
  readonly labels: readonly string[];
  /** Group of each trial. */ readonly of: Int32Array;
}

export const wholeGrouping = (trials: Trials): TrialGrouping => ({
  labels: ['all'],
  of: new Int32Array(trials.count),
});

/** Groups by several of the grid's own columns at once, in order of first appearance. */
export function crossGrouping(trials: Trials, columns: readonly Int32Array[]): TrialGrouping {
  const keys = new Float64Array(columns.length * trials.count);
  for (let i = 0; i < trials.count; i++)
    columns.forEach((column, k) => {
      keys[i * columns.length + k] = column[i];
    });
  const { groupOf, firstRow } = groupRows(keys, trials.count, columns.length);
  return { labels: Array.from(firstRow, (_, k) => String(k)), of: groupOf };
}

/** Draws of one quantity for each group, from those of cells (cells x draws). Cells are summed before anything is made of them. */
export function drawsOfGroups(
  values: Float64Array,
  draws: number,
  grid: TrialGrid,
  grouping: TrialGrouping,
): Float64Array[] {
  const sums = grouping.labels.map(() => new Float64Array(draws));
  for (let cell = 0; cell < grid.count; cell++) {
    const sum = sums[grouping.of[grid.firstTrial[cell]]];
    for (let d = 0; d < draws; d++) sum[d] += values[cell * draws + d];
  }
  return sums;
}
