import type { Interval } from '../../server/schemas/common.ts';
import type { Program } from '../../server/schemas/program.ts';
import type { MoneyOf } from './budget-scale.ts';
import { costOf, limitIn } from './program-table.ts';

export interface YearSpending {
  readonly year: number;
  readonly cost: Interval;
  /** null: no limit. */ readonly limit: number | null;
  /** Of the limit, of the median; null: no limit, or a limit of 0. */ readonly usedShare: number | null;
}

/** What is spent each year and what may be. */
export const yearlySpending = (program: Program, moneyOf: MoneyOf): YearSpending[] =>
  program.years.map((row) => {
    const cost = costOf(row, moneyOf);
    const limit = limitIn(row, moneyOf, program);
    return { year: row.year, cost, limit, usedShare: limit === null || limit === 0 ? null : cost.median / limit };
  });

export interface DistrictSpending {
  readonly district: string;
  readonly year: number;
  readonly lengthM: number;
  readonly cost: Interval;
}

/** So many districts can be drawn under one another; the table has all. */
export const MOST_DRAWN_DISTRICTS = 12;

/** Spending by district and year, and the districts in the order of what is spent in them. */
export function districtSpending(
  { districts }: Pick<Program, 'districts'>,
  moneyOf: MoneyOf,
): { rows: DistrictSpending[]; order: string[] } {
  const rows = districts.map((row) => ({
    district: row.district,
    year: row.year,
    lengthM: row.lengthM,
    cost: costOf(row, moneyOf),
  }));
  const spent = new Map<string, number>();
  for (const { district, cost } of rows) spent.set(district, (spent.get(district) ?? 0) + cost.median);
  const order = [...spent].sort((a, b) => b[1] - a[1] || (a[0] < b[0] ? -1 : 1)).map(([district]) => district);
  return { rows, order };
}

/** One line of a picture over years. */
export interface YearLine<Key extends string = string> {
  readonly key: Key;
  readonly points: readonly { readonly year: number; readonly value: Interval }[];
}

/**
 * Places for labels at the ends of lines, so that none lies on another: kept in order, at least `gap` apart, as near their
 * ends as that allows.
 * @param ends where the lines end, in px from the top, any order
 * @returns in the order of `ends`
 */
export function spreadLabels(ends: readonly number[], gap: number, bounds: readonly [number, number]): number[] {
  const order = ends.map((_, index) => index).sort((a, b) => ends[a] - ends[b]);
  const places = order.map((index) => Math.min(Math.max(ends[index], bounds[0]), bounds[1]));
  for (let i = 1; i < places.length; i++) places[i] = Math.max(places[i], places[i - 1] + gap);
  const over = (places.at(-1) ?? 0) - bounds[1];
  if (over > 0) {
    places[places.length - 1] -= over;
    for (let i = places.length - 2; i >= 0; i--) places[i] = Math.min(places[i], places[i + 1] - gap);
  }
  const spread = new Array<number>(ends.length);
  for (const [place, index] of order.entries()) spread[index] = places[place];
  return spread;
}
