import { isOneIn } from '../numeric/one-in-many.ts';
import type { Design } from './standardise.ts';

/**
 * About one in `many` rows of a design, each with `many` times its weight, so that its likelihood is near that of all rows.
 * Columns stay as they are.
 */
export function thinDesign(design: Design, many: number): Design {
  const { patternStart, columns, kind, weight, entryLog, lowerLog, upperLog, logRatio } = design;
  const width = design.kept.length;
  const starts = [0];
  const patterns: number[] = [];
  const rows: number[] = [];
  for (let k = 0; k + 1 < patternStart.length; k++) {
    for (let i = patternStart[k]; i < patternStart[k + 1]; i++) if (isOneIn(many, i)) rows.push(i);
    if (rows.length === starts[starts.length - 1]) continue;
    patterns.push(k);
    starts.push(rows.length);
  }
  const pick = (from: Float64Array): Float64Array => Float64Array.from(rows, (i) => from[i]);
  return {
    ...design,
    columns: Float64Array.from(
      { length: patterns.length * width },
      (_, at) => columns[patterns[Math.floor(at / width)] * width + (at % width)],
    ),
    patternStart: Int32Array.from(starts),
    kind: Uint8Array.from(rows, (i) => kind[i]),
    weight: Float64Array.from(rows, (i) => many * weight[i]),
    entryLog: pick(entryLog),
    lowerLog: pick(lowerLog),
    upperLog: pick(upperLog),
    logRatio: pick(logRatio),
  };
}
