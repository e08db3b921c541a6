import type { Budget } from '../../server/schemas/budget.ts';
import type { Interval } from '../../server/schemas/common.ts';
import type { SealantClass } from '../../server/schemas/words.ts';

export type Grouping = 'total' | 'district' | 'class' | 'both';

export interface YearAmount {
  year: number;
  lengthM: Interval;
  cost: Interval;
}
/** One column of the table: a district, a class, or everything; one amount for each year, in the order of `years`. */
export interface BudgetColumn {
  key: string;
  district: string | null;
  sealantClass: SealantClass | null;
  amounts: (YearAmount | null)[];
}
/** One block of rows (years). `district` is null in the block of the whole network. */
export interface BudgetBlock {
  district: string | null;
  columns: BudgetColumn[];
}

/** Key of the total beside the groups. Each grouping carries its own: medians and bounds cannot be added up. */
export const TOTAL_KEY = 'total';

const byYear = (years: readonly number[], amounts: readonly YearAmount[]): (YearAmount | null)[] => {
  const found = new Map(amounts.map((amount) => [amount.year, amount]));
  return years.map((year) => found.get(year) ?? null);
};

const distinct = <T>(values: readonly T[]): T[] => [...new Set(values)].sort();

/** The columns and blocks of the budget table. Totals come from the server, never from adding medians. */
export function budgetBlocks(budget: Budget, grouping: Grouping): BudgetBlock[] {
  const { years } = budget;
  const total = column({ key: TOTAL_KEY }, byYear(years, budget.totals));
  const districts = distinct(budget.districtTotals.map(({ district }) => district));
  const classes = distinct(budget.classTotals.map(({ sealantClass }) => sealantClass));
  const ofDistrict = (district: string) => budget.districtTotals.filter((row) => row.district === district);
  const classColumns = classes.map((sealantClass) => {
    const rows = budget.classTotals.filter((row) => row.sealantClass === sealantClass);
    return column({ key: sealantClass, sealantClass }, byYear(years, rows));
  });

  switch (grouping) {
    case 'total':
      return [{ district: null, columns: [total] }];
    case 'district': {
      const columns = districts.map((district) =>
        column({ key: district, district }, byYear(years, ofDistrict(district))),
      );
      return [{ district: null, columns: [...columns, total] }];
    }
    case 'class':
      return [{ district: null, columns: [...classColumns, total] }];
    case 'both': {
      const blocks = districts.map((district) => {
        const rows = budget.rows.filter((row) => row.district === district);
        const columns = classes.map((sealantClass) => {
          const ofClass = rows.filter((row) => row.sealantClass === sealantClass);
          return column({ key: sealantClass, district, sealantClass }, byYear(years, ofClass));
        });
        return {
          district,
          columns: [...columns, column({ key: TOTAL_KEY, district }, byYear(years, ofDistrict(district)))],
        };
      });
      return [...blocks, { district: null, columns: [...classColumns, total] }];
    }
    default:
      return grouping satisfies never;
  }
}

const column = (
  {
    key,
    district = null,
    sealantClass = null,
  }: {
    key: string;
    district?: string | null;
    sealantClass?: SealantClass | null;
  },
  amounts: (YearAmount | null)[],
): BudgetColumn => ({ key, district, sealantClass, amounts });

/**
 * Money of `year` in money of `priceYear`: takes the assumed escalation out again.
 * Source: compound growth, cost x (1 + escalation)^-(year - priceYear).
 */
export function inPriceYearMoney(cost: Interval, year: number, { priceYear, escalationPerYear }: Budget): Interval {
  const factor = (1 + escalationPerYear) ** (priceYear - year);
  return {
    median: cost.median * factor,
    lower: cost.lower * factor,
    upper: cost.upper * factor,
  };
}
