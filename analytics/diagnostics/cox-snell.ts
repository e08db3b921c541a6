import type { AftData, AftFit } from '../survival/aft.ts';
import { turnbull } from '../survival/turnbull.ts';
import { rowHazards } from './fitted-hazard.ts';

/** Non-parametric survival of the residuals beside that of the unit exponential, which they follow where the fit is right. */
export interface CoxSnell {
  /** Boxes of mass in order; `to` is null where the last is open. */
  readonly boxes: readonly {
    readonly from: number;
    readonly to: number | null;
    readonly survivalAfter: number;
    /** exp(-to), 0 where open. */ readonly exponentialAfter: number;
  }[];
  /** Largest distance between the two at the ends of the boxes, on the scale of survival. */ readonly largestGap: number;
  readonly rows: number;
  /** What the reader must know before using the curve. */ readonly note: string | null;
}

/** Residuals are rounded so that their exponential survival is a multiple of this: their curve needs no more digits. */
const GRID = 1 / 500;

/**
 * Cox–Snell residuals on the conditional scale: cumulative hazard gained from entry to both bounds of each row, and
 * Turnbull's estimate of those intervals. Censored rows stay censored, so nothing is imputed.
 * Source: Cox and Snell, J. R. Statist. Soc. B 30 (1968), 248–275; Turnbull, same series 38 (1976), for the estimate.
 */
export function coxSnell(data: AftData, fit: AftFit): CoxSnell {
  const { lower, upper } = rowHazards(data, fit);
  const rows = { from: [] as number[], to: [] as number[], weight: [] as number[] };
  for (let i = 0; i < lower.length; i++) {
    const from = Math.min(rounded(lower[i]), rounded(-Math.log(2 * GRID)));
    const to = Math.max(rounded(upper[i]), nextOnGrid(from));
    if (from === 0 && to === Infinity) continue;
    rows.from.push(from);
    rows.to.push(to);
    rows.weight.push(data.weight[i]);
  }
  if (rows.from.length === 0)
    return { boxes: [], largestGap: 0, rows: 0, note: 'No row says anything about the residuals.' };
  const estimate = turnbull({
    entry: new Float64Array(rows.from.length),
    lower: Float64Array.from(rows.from),
    upper: Float64Array.from(rows.to),
    weight: Float64Array.from(rows.weight),
  });
  const boxes = Array.from(estimate.from, (from, j) => ({
    from,
    to: estimate.to[j] === Infinity ? null : estimate.to[j],
    survivalAfter: estimate.survivalAfter[j],
    exponentialAfter: Math.exp(-estimate.to[j]),
  }));
  return { boxes, largestGap: largestGap(boxes), rows: rows.from.length, note: estimate.note };
}

const onGrid = (survival: number): number => Math.round(survival / GRID) * GRID;

function rounded(residual: number): number {
  const survival = onGrid(Math.exp(-residual));
  return survival > 0 ? Math.abs(Math.log(survival)) : Infinity;
}

function nextOnGrid(residual: number): number {
  const survival = onGrid(Math.exp(-residual)) - GRID;
  return survival > GRID / 2 ? -Math.log(survival) : Infinity;
}

function largestGap(boxes: CoxSnell['boxes']): number {
  let before = 1;
  let gap = 0;
  for (const { from, to, survivalAfter, exponentialAfter } of boxes) {
    gap = Math.max(gap, Math.abs(before - Math.exp(-from)));
    if (to !== null) gap = Math.max(gap, Math.abs(survivalAfter - exponentialAfter));
    before = survivalAfter;
  }
  return gap;
}
