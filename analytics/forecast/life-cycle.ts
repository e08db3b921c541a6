/** Present worth of 1 paid n years ahead: (1 + i)^-n. Source: FHWA-SA-98-079 (Walls and Smith, 1998). */
export const discountFactor = (ratePerYear: number, years: number): number => (1 + ratePerYear) ** -years;

/**
 * How money of the price year (constant) and money of the year it is spent in (nominal) stand to each other. A discount rate
 * for constant money is real (FHWA-SA-98-079).
 */
export interface PriceTerms {
  readonly planningYear: number;
  readonly priceYear: number;
  /** Rise of prices a year, such as 0.025. */ readonly escalationPerYear: number;
}

/** Nominal money for 1 of constant money spent some years after the planning year; divide by it to go back. */
export const nominalFactor = ({ planningYear, priceYear, escalationPerYear }: PriceTerms, yearsAfter: number): number =>
  (1 + escalationPerYear) ** (planningYear + yearsAfter - priceYear);

/**
 * Capital recovery factor i (1 + i)^n / ((1 + i)^n - 1): the yearly sum, paid at year ends, worth 1 today; 1/n at rate 0.
 * @throws RangeError unless years is above 0 and the rate above -1
 * Source: FHWA-SA-98-079 (Walls and Smith, 1998).
 */
export function capitalRecoveryFactor(ratePerYear: number, years: number): number {
  if (!(years > 0)) throw new RangeError(`years is ${years}; expected above 0`);
  if (!(ratePerYear > -1)) throw new RangeError(`ratePerYear is ${ratePerYear}; expected above -1`);
  return Math.abs(ratePerYear) < 1e-9 ? 1 / years : ratePerYear / -Math.expm1(-years * Math.log1p(ratePerYear));
}

export interface CashFlow {
  /** Years from now, 0 or more. */ readonly year: number;
  /** Cost; negative for a value left over. */ readonly amount: number;
}

/** Sum of discounted amounts. */
export const netPresentValue = (flows: readonly CashFlow[], ratePerYear: number): number =>
  flows.reduce((sum, { year, amount }) => sum + amount * discountFactor(ratePerYear, year), 0);

/** Equivalent uniform annual cost over a period: net present value x capital recovery factor. */
export const equivalentAnnualCost = (flows: readonly CashFlow[], ratePerYear: number, years: number): number =>
  netPresentValue(flows, ratePerYear) * capitalRecoveryFactor(ratePerYear, years);
