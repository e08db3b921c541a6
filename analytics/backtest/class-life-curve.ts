import { type TurnbullEstimate, turnbull } from '../survival/turnbull.ts';
import type { KnownRows } from './backtest-trials.ts';

/** Non-parametric survival of one class as known on a cut-off date: straight lines between the knots. */
export interface ClassLifeCurve {
  readonly ages: Float64Array;
  /** At each age; starts with 1 at age 0 and stays above 0. */ readonly survival: Float64Array;
  /** Hazard beyond the last knot, per year. */ readonly hazardAfter: number;
  /** null: the curve does not come down to a half. */ readonly medianYears: number | null;
  readonly rows: number;
  readonly failures: number;
}

/** Ages are rounded to this, so that the estimate has few places to put mass and looks of one season count together. */
const GRID_YEARS = 0.25;
/** Below this survival too few are left to draw a curve from. */
const LEAST_SURVIVAL = 0.02;

/**
 * Turnbull's estimate with delayed entry for some rows, or null where no row says anything. Mass is spread evenly over its
 * interval. Beyond the last age that the curve knows, hazard goes on at its average over the second half of those ages.
 */
export function classLifeCurve(known: KnownRows, picked: ArrayLike<number>): ClassLifeCurve | null {
  const rows: { entry: number; lower: number; upper: number }[] = [];
  let failures = 0;
  for (const i of Array.from(picked)) {
    const entry = onGrid(known.entryYears[i]);
    const lower = Math.max(entry, onGrid(known.lowerYears[i]));
    const upper = Math.max(lower + GRID_YEARS, onGrid(known.upperYears[i]));
    if (upper < Infinity) failures++;
    if (lower > entry || upper < Infinity) rows.push({ entry, lower, upper });
  }
  if (rows.length === 0) return null;
  const estimate = turnbull({
    entry: Float64Array.from(rows, ({ entry }) => entry),
    lower: Float64Array.from(rows, ({ lower }) => lower),
    upper: Float64Array.from(rows, ({ upper }) => upper),
    weight: new Float64Array(rows.length).fill(1),
  });
  return { ...curveOf(estimate, rows), rows: rows.length, failures };
}

const onGrid = (years: number): number => (years === Infinity ? Infinity : Math.round(years / GRID_YEARS) * GRID_YEARS);

function curveOf({ from, to, survivalAfter }: TurnbullEstimate, rows: readonly { lower: number }[]) {
  const ages = [0];
  const survival = [1];
  const put = (age: number, value: number): void => {
    if (age > ages[ages.length - 1]) {
      ages.push(age);
      survival.push(value);
    } else if (value < survival[survival.length - 1]) survival[survival.length - 1] = value;
  };
  for (let j = 0; j < from.length; j++) {
    put(from[j], survival[survival.length - 1]);
    if (to[j] === Infinity || survivalAfter[j] < LEAST_SURVIVAL) break;
    put(to[j], survivalAfter[j]);
  }
  const lastSeen = rows.reduce((age, { lower }) => Math.max(age, lower), 0);
  const level = survival[survival.length - 1];
  if (level === 1) put(lastSeen, 1);
  const half = survival.findIndex((value) => value <= 0.5);
  const curve = { ages: Float64Array.from(ages), survival: Float64Array.from(survival) };
  return {
    ...curve,
    hazardAfter: lateHazard(curve),
    medianYears: half < 1 ? null : ageBetween(curve, half, 0.5),
  };
}

const ageBetween = ({ ages, survival }: Knots, right: number, target: number): number => {
  const drop = survival[right - 1] - survival[right];
  return ages[right - 1] + ((ages[right] - ages[right - 1]) * (survival[right - 1] - target)) / drop;
};

type Knots = Pick<ClassLifeCurve, 'ages' | 'survival'>;

function lateHazard(curve: Knots): number {
  const last = curve.ages[curve.ages.length - 1];
  if (last === 0) return 0;
  return Math.log(survivalWithin(curve, last / 2) / survivalWithin(curve, last)) / (last / 2);
}

function survivalWithin({ ages, survival }: Knots, age: number): number {
  let right = 1;
  while (right < ages.length && ages[right] < age) right++;
  if (right >= ages.length) return survival[survival.length - 1];
  const share = (age - ages[right - 1]) / (ages[right] - ages[right - 1]);
  return survival[right - 1] + share * (survival[right] - survival[right - 1]);
}

/** Chance of failing by one age given soundness at an earlier one. */
export function curveFailure(curve: ClassLifeCurve, fromYears: number, toYears: number): number {
  const last = curve.ages[curve.ages.length - 1];
  const beyond = Math.max(0, toYears - last) - Math.max(0, fromYears - last);
  const start = survivalWithin(curve, Math.min(fromYears, last));
  const end = survivalWithin(curve, Math.min(toYears, last));
  return 1 - (end / start) * Math.exp(-curve.hazardAfter * beyond);
}
