/** A life distribution by age in years. Survival falls from 1 at age 0; the hazard is its failure rate among survivors. */
export interface Life {
  readonly survival: (age: number) => number;
  readonly hazard: (age: number) => number;
  /** A typical life, from which searches start, above 0. */ readonly typicalAge: number;
  /** Ages beyond which nothing survives; Infinity where there is none. */ readonly longestAge?: number;
}

export interface ReplacementCosts {
  /** Cost of a planned reseal, above 0. */ readonly planned: number;
  /** Cost of a reseal after failure with what the failure does, above `planned`. */ readonly failure: number;
}

export interface AgeReplacement {
  /** Best age for a planned reseal; null: run to failure. */ readonly age: number | null;
  /** Cost a year of the best policy. */ readonly costPerYear: number;
  /** Cost a year when every seal runs to failure. */ readonly runToFailureCostPerYear: number;
  /** Share of the run-to-failure cost saved, 0 to 1. Below 0.01 planned reseals are not worth the trouble. */
  readonly savedShare: number;
}

/** Weibull life with its scale in years. */
export const weibullLife = (shape: number, scaleYears: number): Life => ({
  survival: (age) => Math.exp(-((age / scaleYears) ** shape)),
  hazard: (age) => (shape / scaleYears) * (age / scaleYears) ** (shape - 1),
  typicalAge: scaleYears,
});

/**
 * Age at which a planned reseal is cheapest in the long run, at a continuous discount rate (0: plain cost a year).
 *
 * The cost curve is flat beyond its minimum, so the minimum is not searched for: the stationarity equation
 * (h(T) + r) I(T) + exp(-rT) S(T) = c_f / (c_f - c_p), with I(T) the discounted time in service, is solved by bisection after
 * a scan for its first change of sign. There the cost is (c_f - c_p) h(T) - c_p r, as a continuous annuity.
 * Source: Barlow and Proschan, Mathematical Theory of Reliability (1965), with discounting added.
 * @throws RangeError unless 0 < planned < failure and the rate is 0 or more
 */
export function bestReplacementAge(life: Life, costs: ReplacementCosts, ratePerYear = 0): AgeReplacement {
  const { planned, failure } = costs;
  if (!(planned > 0 && failure > planned))
    throw new RangeError(`planned is ${planned}, failure ${failure}; expected 0 < planned < failure`);
  if (!(ratePerYear >= 0)) throw new RangeError(`ratePerYear is ${ratePerYear}; expected 0 or more`);
  const target = failure / (failure - planned);
  const excess = (age: number, service: number) =>
    (life.hazard(age) + ratePerYear) * service + Math.exp(-ratePerYear * age) * life.survival(age) - target;
  const runToFailure = replacementCostPerYear(life, costs, longAge(life), ratePerYear);
  const step = life.typicalAge / 64;
  let [age, service] = [0, 0];
  while (age < longAge(life)) {
    const next = Math.min(age + step, longAge(life));
    const nextService = service + serviceBetween(life, age, next, ratePerYear);
    if (excess(next, nextService) >= 0) {
      const best = bisect(age, next, (t) => excess(t, service + serviceBetween(life, age, t, ratePerYear)));
      const costPerYear = replacementCostPerYear(life, costs, best, ratePerYear);
      const savedShare = Math.max(0, 1 - costPerYear / runToFailure);
      if (costPerYear < runToFailure)
        return { age: best, costPerYear, runToFailureCostPerYear: runToFailure, savedShare };
    }
    [age, service] = [next, nextService];
  }
  return { age: null, costPerYear: runToFailure, runToFailureCostPerYear: runToFailure, savedShare: 0 };
}

/** Cost a year of a policy that reseals at failure or at `age`, whichever comes first; an annuity when discounted. */
export function replacementCostPerYear(life: Life, costs: ReplacementCosts, age: number, ratePerYear = 0): number {
  const { planned, failure } = costs;
  const service = serviceTime(life, age, ratePerYear);
  const kept = Math.exp(-ratePerYear * age) * life.survival(age);
  return (failure - (failure - planned) * kept - failure * ratePerYear * service) / service;
}

/** Discounted time in service up to an age: integral of exp(-rx) S(x). */
export function serviceTime(life: Life, age: number, ratePerYear = 0): number {
  const step = life.typicalAge / 64;
  let [from, total] = [0, 0];
  while (from < age) {
    const to = Math.min(from + step, age);
    total += serviceBetween(life, from, to, ratePerYear);
    from = to;
  }
  return total;
}

const longAge = ({ typicalAge, longestAge }: Life): number =>
  Math.min(longestAge ?? Number.POSITIVE_INFINITY, typicalAge * 12);

/** Five-point Gauss-Legendre rule on [-1, 1]. */
const NODES = [0, 0.538469310105683, 0.906179845938664] as const;
const WEIGHTS = [0.568888888888889, 0.478628670499366, 0.236926885056189] as const;

function serviceBetween({ survival }: Life, from: number, to: number, rate: number): number {
  const [middle, half] = [(from + to) / 2, (to - from) / 2];
  const value = (age: number) => Math.exp(-rate * age) * survival(age);
  let sum = WEIGHTS[0] * value(middle);
  for (let i = 1; i < NODES.length; i++)
    sum += WEIGHTS[i] * (value(middle - half * NODES[i]) + value(middle + half * NODES[i]));
  return sum * half;
}

function bisect(low: number, high: number, excess: (age: number) => number): number {
  let [left, right] = [low, high];
  for (let i = 0; i < 100 && right - left > 1e-13 * right; i++) {
    const middle = (left + right) / 2;
    if (excess(middle) < 0) left = middle;
    else right = middle;
  }
  return (left + right) / 2;
}
