import type { Family } from '../survival/aft.ts';
import { standardCumulativeHazard } from '../survival/families.ts';
import { EXACT, RIGHT } from '../survival/standardise.ts';
import type { PooledRows } from './pooled-rows.ts';

export interface LevelCounts {
  /** Sum of weights. */ readonly seals: Float64Array;
  readonly failures: Float64Array;
  /** Failures that seals of the average level would have had in the time that these were followed. */
  readonly expected: Float64Array;
  /** The same with the level's own shrunk effect: what the fit makes of it. */ readonly fitted: Float64Array;
  /** Weight of the rows whose level is not recorded. */ readonly unknown: number;
}

/**
 * Counts for every level of one grouping. Expected failures are cumulative hazard gathered under observation, with the
 * grouping's own effect left out and all others in; seen minus expected is a sum of martingale residuals, so the
 * number seen is compared with a Poisson variable of that mean. A failure age known to an interval counts with the
 * mean hazard that it could have gathered, given that it lies there.
 * Source: Andersen, Borgan, Gill and Keiding, Statistical Models Based on Counting Processes (1993).
 */
export function levelCounts(
  rows: PooledRows,
  family: Family,
  { at, levelStart, tau, grouping }: { at: Float64Array; levelStart: Int32Array; tau: number; grouping: number },
): LevelCounts {
  const { design, levelOf, groupings } = rows;
  const { columns, patternStart, kind, weight } = design;
  const width = design.kept.length;
  const groups = groupings.length;
  const size = groupings[grouping].levels.length;
  const [seals, failures, expected, fitted] = Array.from({ length: 4 }, () => new Float64Array(size));
  let unknown = 0;
  for (let k = 0; k + 1 < patternStart.length; k++) {
    const level = levelOf[k * groups + grouping];
    let predictor = 0;
    for (let j = 0; j < width; j++) predictor += columns[k * width + j] * at[levelStart[groups] + j];
    for (let g = 0; g < groups; g++) {
      const other = levelOf[k * groups + g];
      if (g !== grouping && other >= 0) predictor += at[levelStart[g] + other];
    }
    for (let i = patternStart[k]; i < patternStart[k + 1]; i++) {
      if (level < 0) {
        unknown += weight[i];
        continue;
      }
      seals[level] += weight[i];
      if (kind[i] !== RIGHT) failures[level] += weight[i];
      const own = predictor + at[levelStart[grouping] + level];
      expected[level] += weight[i] * gatheredHazard(rows, family, i, tau, predictor);
      fitted[level] += weight[i] * gatheredHazard(rows, family, i, tau, own);
    }
  }
  return { seals, failures, expected, fitted, unknown };
}

function gatheredHazard({ design }: PooledRows, family: Family, i: number, tau: number, predictor: number): number {
  const { kind, entryLog, lowerLog, upperLog } = design;
  const hazardAt = (log: number): number => standardCumulativeHazard(family, tau * (log - predictor));
  const before = hazardAt(entryLog[i]);
  if (kind[i] === RIGHT) return hazardAt(lowerLog[i]) - before;
  if (kind[i] === EXACT) return hazardAt(upperLog[i]) - before;
  const lower = hazardAt(lowerLog[i]);
  const span = hazardAt(upperLog[i]) - lower;
  // Mean of a unit exponential variable within (lower, lower + span].
  const within = span > 700 ? 1 : span < 1e-5 ? span / 2 : 1 - span / Math.expm1(span);
  return lower + within - before;
}
