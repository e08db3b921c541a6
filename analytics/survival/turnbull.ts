import { groupRows } from '../numeric/group-rows.ts';
import { type IntervalRows, innermostIntervals, type MassProblem } from './innermost-intervals.ts';
import { acceleratedEm, emStep, largestSlope } from './turnbull-em.ts';
import { newtonMasses } from './turnbull-newton.ts';

/** Mass lies somewhere inside each interval; the data do not say where, so draw it as a box. */
export interface TurnbullEstimate {
  /** Interval j is (from[j], to[j]], or the one age where both are equal; to may be Infinity. */
  readonly from: Float64Array;
  readonly to: Float64Array;
  /** Above 0; sum to 1. */ readonly mass: Float64Array;
  /** Survival at the end of each interval. */ readonly survivalAfter: Float64Array;
  readonly logLikelihood: number;
  readonly converged: boolean;
  /** What the reader must know before using the curve. */ readonly note: string | null;
}

/** With more intervals than this that may carry mass, EM alone is used: a Newton step costs their cube. */
const MOST_FOR_NEWTON = 400;
const FINE = 1e-11;
/** Per unit of weight: far below what the data can tell apart. */
const COARSE = 1e-5;

/**
 * Non-parametric maximum likelihood for interval-censored ages with delayed entry.
 * Rows as in a fit: one entry per row, entry <= lower <= upper, weight above 0.
 * @throws RangeError naming the row (from 1) and field
 * Source: Turnbull (J. R. Statist. Soc. B 38, 1976).
 */
export function turnbull(rows: IntervalRows): TurnbullEstimate {
  checkRows(rows);
  const problem = innermostIntervals(merged(rows));
  const size = problem.from.length;
  const even = new Float64Array(size).fill(1 / size);
  const small = size <= MOST_FOR_NEWTON;
  let mass = acceleratedEm(problem, even, {
    tolerance: small ? FINE : COARSE,
    maxSteps: small ? 150 : emSteps(problem),
  });
  const carrying = mass.reduce((count, m) => count + (m > 1e-9 ? 1 : 0), 0);
  if (carrying <= MOST_FOR_NEWTON) mass = newtonMasses(problem, mass, FINE);
  const { logLikelihood, slope } = emStep(problem, mass);
  const converged = largestSlope(slope) < (carrying <= MOST_FOR_NEWTON ? 1e-8 : 2 * COARSE);
  return { ...withMass(problem, mass), logLikelihood, converged, note: noteOn(problem, mass, rows, converged) };
}

/** As many steps as take about two seconds. */
const emSteps = ({ weight }: MassProblem): number => Math.max(300, Math.min(3000, Math.floor(1e8 / weight.length)));

function checkRows({ entry, lower, upper, weight }: IntervalRows): void {
  if (lower.length === 0) throw new RangeError('The estimate has no rows; expected at least one');
  const refuse = (i: number, field: string, found: number, expected: string): RangeError =>
    new RangeError(`Row ${i + 1} of the estimate, ${field} is ${found}; expected ${expected}`);
  for (let i = 0; i < lower.length; i++) {
    if (!(entry[i] >= 0 && entry[i] < Infinity)) throw refuse(i, 'entry', entry[i], 'a finite age, 0 or more');
    if (!(lower[i] >= entry[i] && lower[i] < Infinity))
      throw refuse(i, 'lower', lower[i], `a finite age, at least the entry age ${entry[i]}`);
    if (!(upper[i] >= lower[i] && upper[i] > 0))
      throw refuse(i, 'upper', upper[i], `an age above 0, at least the lower age ${lower[i]}`);
    if (!(weight[i] > 0 && weight[i] < Infinity)) throw refuse(i, 'weight', weight[i], 'a finite weight above 0');
  }
}

function merged({ entry, lower, upper, weight }: IntervalRows): IntervalRows {
  const table = new Float64Array(3 * lower.length);
  for (let i = 0; i < lower.length; i++) table.set([entry[i], lower[i], upper[i]], 3 * i);
  const { groupOf, firstRow } = groupRows(table, lower.length, 3);
  const sums = new Float64Array(firstRow.length);
  for (let i = 0; i < lower.length; i++) sums[groupOf[i]] += weight[i];
  const pick = (from: Float64Array): Float64Array => Float64Array.from(firstRow, (row) => from[row]);
  return { entry: pick(entry), lower: pick(lower), upper: pick(upper), weight: sums };
}

/** The intervals that carry mass. */
function withMass({ from, to }: MassProblem, mass: Float64Array) {
  const kept = [...mass.keys()].filter((j) => mass[j] > 1e-10);
  const keptMass = Float64Array.from(kept, (j) => mass[j]);
  const survivalAfter = new Float64Array(kept.length);
  for (let k = kept.length - 2; k >= 0; k--) survivalAfter[k] = survivalAfter[k + 1] + keptMass[k + 1];
  return {
    from: Float64Array.from(kept, (j) => from[j]),
    to: Float64Array.from(kept, (j) => to[j]),
    mass: keptMass,
    survivalAfter,
  };
}

/** Below this survival the curve claims that hardly anything lives on. */
const HARDLY_ANY = 0.02;
/** Share of the weight that may still be seen sound later before that claim is called useless. */
const MANY = 0.1;

function noteOn(problem: MassProblem, mass: Float64Array, rows: IntervalRows, converged: boolean): string | null {
  if (!converged) return 'The estimate stopped before its maximum; round the ages to a coarser grid and try again.';
  const { to, first, start, weight } = problem;
  let survival = 1;
  for (let j = 0; j < mass.length; j++) {
    survival -= mass[j];
    if (survival > HARDLY_ANY || to[j] === Infinity) continue;
    let soundLater = 0;
    let total = 0;
    for (let i = 0; i < weight.length; i++) {
      total += weight[i];
      if (start[i] > 0 && first[i] > j) soundLater += weight[i];
    }
    if (soundLater > MANY * total)
      return `The curve falls to ${Math.max(0, survival).toFixed(3)} by age ${round(to[j])} because few were under observation so early, yet many were seen sound later: do not use it; use the fitted curve, or start at a later age.`;
    break;
  }
  const earliest = rows.entry.reduce((a, b) => Math.min(a, b), Infinity);
  if (earliest > 0)
    return `Nothing was under observation before age ${round(earliest)}; the curve is for those sound then.`;
  return null;
}

const round = (age: number): string => String(Number(age.toPrecision(4)));
