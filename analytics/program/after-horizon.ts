import type { NewLives } from '../forecast/new-lives.ts';
import { type ResealCycle, resealCycle, SMALLEST_RATE } from '../forecast/reseal-cycle.ts';
import type { SealsInPlace } from './program-input.ts';

/** What the seals of one economic type cost for good. */
export interface TypeEconomy {
  /** Curve of each allowed class among `lives`, -1 where it is not allowed. */ readonly curve: ArrayLike<number>;
  readonly pricePerM: ArrayLike<number>;
  readonly openCostPerMYear: number;
  readonly ratePerYear: number;
}

/** Curves of all classes, numbered through. */
export type SealCurves = Pick<NewLives, 'failedByAge' | 'oldestAge'>;

/** The best cycle of each class, and the cheapest of them all, used for ever after. */
export interface LongRun {
  /** null: not allowed. */ readonly cycles: readonly (ResealCycle | null)[];
  /** Cost per metre of a reseal with the cheapest class and of all that follow, valued then; Infinity: none is allowed. */
  readonly renewalCostPerM: number;
  /** -1: none is allowed. */ readonly cheapestClass: number;
}

export function longRun(curves: SealCurves, economy: TypeEconomy): LongRun {
  const { curve, pricePerM, openCostPerMYear, ratePerYear } = economy;
  const cycles = Array.from(curve, (row, c) =>
    row < 0 ? null : resealCycle(curves, row, { pricePerM: pricePerM[c], openCostPerMYear, ratePerYear }),
  );
  let [cheapestClass, renewalCostPerM] = [-1, Number.POSITIVE_INFINITY];
  cycles.forEach((cycle, c) => {
    if (cycle && cycle.costPerM < renewalCostPerM) [cheapestClass, renewalCostPerM] = [c, cycle.costPerM];
  });
  return { cycles, renewalCostPerM, cheapestClass };
}

/**
 * Cost per metre, valued at the horizon's end, of waiting the best number of years with a seal and renewing it for ever
 * after with the cheapest class.
 *
 * One more year of waiting changes the cost by v^n (open F(n) - W (1 - v)), W the cost of renewing; F never falls, so the
 * first year in which that is not below 0 is the best. Where even a failed joint is cheaper than renewing, it stays open.
 * At a rate of 0 both are endless sums: compare them with each other only, see `costsAfterHorizon`.
 * @param failedAt chance of having failed by the end of the n-th year after the horizon, 1 and up; once 1 it stays 1
 */
export function waitingCostPerM(
  failedAt: (yearsAfter: number) => number,
  renewalCostPerM: number,
  { openCostPerMYear: open, ratePerYear }: Pick<TypeEconomy, 'openCostPerMYear' | 'ratePerYear'>,
): number {
  const v = 1 / (1 + Math.max(ratePerYear, SMALLEST_RATE));
  const trigger = renewalCostPerM * (1 - v);
  let [total, discount] = [0, v];
  for (let n = 1; ; n++) {
    const failed = failedAt(n);
    if (open * failed >= trigger) return total + renewalCostPerM * discount;
    if (failed >= 1) return total + (open * discount) / (1 - v);
    total += open * failed * discount;
    discount *= v;
  }
}

/** Chance that a new seal has failed by an age in years; what outlives the curve is taken as failed after it. */
export function failedByAge({ failedByAge: values, oldestAge }: SealCurves, curve: number, ageYears: number): number {
  if (ageYears > oldestAge) return 1;
  const [below, at] = [Math.floor(ageYears), curve * (oldestAge + 1)];
  const left = values[at + below];
  return below === ageYears ? left : left + (ageYears - below) * (values[at + below + 1] - left);
}

/**
 * Cost after the horizon, per metre, of a seal of each class and whole age at its end, less `reference`.
 * Row-major, classes x (years + 1); 0 where the class is not allowed.
 */
export function costsAfterHorizon(curves: SealCurves, economy: TypeEconomy, years: number): AfterHorizon {
  const { renewalCostPerM } = longRun(curves, economy);
  const costPerM = new Float64Array(economy.curve.length * (years + 1));
  const reference = referenceCostPerM(curves, economy, renewalCostPerM);
  for (let c = 0; c < economy.curve.length; c++)
    for (let age = 0; age <= years && economy.curve[c] >= 0; age++) {
      const failedAt = (n: number) => failedByAge(curves, economy.curve[c], age + n);
      costPerM[c * (years + 1) + age] = waitingCostPerM(failedAt, renewalCostPerM, economy) - reference;
    }
  return { costPerM, renewalCostPerM, reference };
}

export interface AfterHorizon {
  readonly costPerM: Float64Array;
  readonly renewalCostPerM: number;
  /**
   * 0 where money is discounted. At a rate of 0 all that follows costs without end, so it is counted as what it costs more
   * than the best new seal: the same amount less for every plan, which changes no choice.
   */
  readonly reference: number;
}

function referenceCostPerM(curves: SealCurves, economy: TypeEconomy, renewalCostPerM: number): number {
  if (economy.ratePerYear >= SMALLEST_RATE) return 0;
  const allowed = Array.from(economy.curve).filter((curve) => curve >= 0);
  if (allowed.length === 0) return waitingCostPerM(() => 1, renewalCostPerM, economy);
  return Math.min(
    ...allowed.map((curve) => waitingCostPerM((n) => failedByAge(curves, curve, n), renewalCostPerM, economy)),
  );
}

/** Chance that the seal in place has failed by the end of year `year` from now, along its curve beyond what is known. */
export function inPlaceFailedBy(inPlace: SealsInPlace, i: number, year: number): number {
  const { failedByYearEnd, yearEnds, ageYears, lives } = inPlace;
  const known = failedByYearEnd[i * yearEnds + Math.min(year, yearEnds - 1)];
  if (year < yearEnds || known >= 1) return known;
  const age = ageYears[i] + yearEnds - 1;
  const sound = 1 - failedByAge(lives, lives.curve[i], age);
  const later = 1 - failedByAge(lives, lives.curve[i], age + year - (yearEnds - 1));
  return sound > 0 ? 1 - (1 - known) * (later / sound) : 1;
}
