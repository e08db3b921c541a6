import type { Budget } from '../../server/schemas/budget.ts';
import type { Interval } from '../../server/schemas/common.ts';
import { type BudgetBlock, type Grouping, inPriceYearMoney, type YearAmount } from './budget-table.ts';
import { formatMoney, formatNumber, NOT_KNOWN } from './format.ts';
import type { Units } from './units.ts';

export type Measure = 'cost' | 'lengthM';
/** Money of each year, escalation in it; or all in money of the year that unit costs are of. */
export type MoneyOf = 'each-year' | 'price-year';

export interface BudgetView {
  readonly grouping: Grouping;
  readonly measure: Measure;
  readonly moneyOf: MoneyOf;
}

/** One unit for a whole table or chart, so that its figures can be compared at a glance. */
export interface Scale {
  /** Multiply by this to get the number shown. */ readonly factor: number;
  readonly unit: string;
  readonly decimals: number;
}

const LONG_M = 10_000;
const M_PER_KM = 1000;
const M_PER_FOOT = 0.3048;
const M_PER_MILE = 1609.344;

/** A scale in which the largest figure still reads easily. */
export function scaleFor({
  measure,
  largest,
  units,
  currency,
}: {
  measure: Measure;
  largest: number;
  units: Units;
  currency: string;
}): Scale {
  if (measure === 'cost') {
    if (largest >= 100_000) return { factor: 1e-3, unit: `thousand ${currency}`, decimals: largest >= 1e6 ? 0 : 1 };
    return { factor: 1, unit: currency, decimals: 0 };
  }
  const long = largest >= LONG_M;
  if (units === 'us') {
    return long
      ? { factor: 1 / M_PER_MILE, unit: 'mi', decimals: 1 }
      : { factor: 1 / M_PER_FOOT, unit: 'ft', decimals: 0 };
  }
  return long ? { factor: 1 / M_PER_KM, unit: 'km', decimals: 1 } : { factor: 1, unit: 'm', decimals: 0 };
}

/** The figure of a cell in the money that the reader chose. */
export function amountOf(amount: YearAmount, view: Pick<BudgetView, 'measure' | 'moneyOf'>, budget: Budget): Interval {
  if (view.measure === 'lengthM') return amount.lengthM;
  return view.moneyOf === 'price-year' ? inPriceYearMoney(amount.cost, amount.year, budget) : amount.cost;
}

/** Largest upper bound in the blocks, for scaleFor. */
export function largestIn(blocks: readonly BudgetBlock[], view: BudgetView, budget: Budget): number {
  const uppers = blocks.flatMap(({ columns }) =>
    columns.flatMap(({ amounts }) => amounts.map((amount) => (amount ? amountOf(amount, view, budget).upper : 0))),
  );
  return Math.max(0, ...uppers);
}

export const scaledMedian = (interval: Interval | null, { factor, decimals }: Scale): string =>
  interval ? formatNumber(interval.median * factor, decimals) : NOT_KNOWN;

export const scaledRange = (interval: Interval, { factor, decimals }: Scale): string =>
  `${formatNumber(interval.lower * factor, decimals)} to ${formatNumber(interval.upper * factor, decimals)}`;

/** What the money of a view is, in words. */
export const moneyWords = (
  { moneyOf }: Pick<BudgetView, 'moneyOf'>,
  { priceYear, escalationPerYear }: Budget,
): string =>
  moneyOf === 'price-year'
    ? `in money of ${priceYear}, without escalation`
    : `in money of each year: prices of ${priceYear} raised by ${formatNumber(escalationPerYear * 100, 1)}\u00a0% a year`;

/** Money with no more digits than a forecast has: "$63.5 million", "$912,000". */
export function roundMoney(amount: number, currency: string): string {
  if (Math.abs(amount) >= 1e6) return `${formatMoney(amount / 1e6, currency, amount < 1e8 ? 1 : 0)}\u00a0million`;
  const digits = 10 ** Math.max(0, Math.floor(Math.log10(Math.max(1, Math.abs(amount)))) - 2);
  return formatMoney(Math.round(amount / digits) * digits, currency);
}
