import { isOneIn } from '../numeric/one-in-many.ts';
import { pick, pickRows } from '../numeric/pick-rows.ts';
import type { Design } from './standardise.ts';

/**
 * About one in `many` rows of a design, each with `many` times its weight, so that its likelihood is near that of all rows.
 * Columns stay as they are.
 */
export function thinDesign(design: Design, many: number): Design {
  const { patternStart, columns, kind, weight, entryLog, lowerLog, upperLog, logRatio } = design;
  const starts = [0];
  const kept: number[] = [];
  const picked: number[] = [];
  for (let k = 0; k + 1 < patternStart.length; k++) {
    for (let i = patternStart[k]; i < patternStart[k + 1]; i++) if (isOneIn(many, i)) picked.push(i);
    if (picked.length === starts[starts.length - 1]) continue;
    kept.push(k);
    starts.push(picked.length);
  }
  const rows = Int32Array.from(picked);
  return {
    ...design,
    columns: pickRows(columns, Int32Array.from(kept), design.kept.length),
    patternStart: Int32Array.from(starts),
    kind: Uint8Array.from(rows, (i) => kind[i]),
    weight: pick(weight, rows).map((w) => many * w),
    entryLog: pick(entryLog, rows),
    lowerLog: pick(lowerLog, rows),
    upperLog: pick(upperLog, rows),
    logRatio: pick(logRatio, rows),
  };
}
