import type { Interval } from '../../schemas/common.ts';
import type { Program } from '../../schemas/program.ts';

/** One district over all years. */
export interface DistrictSum {
  readonly district: string;
  readonly lengthM: number;
  /** Money of each year, added up. */ readonly cost: number;
  readonly costShare: number;
  /** Failed share at the end of the first year, and of the last. */ readonly first: Interval;
  readonly last: Interval;
  readonly backlogM: number;
}

/** The dearest first. */
export function districtSums({ districts, totals }: Program): DistrictSum[] {
  const byName = new Map<string, Program['districts']>();
  for (const row of districts) byName.set(row.district, [...(byName.get(row.district) ?? []), row]);
  return [...byName]
    .map(([district, rows]) => {
      const cost = rows.reduce((sum, row) => sum + row.cost.median, 0);
      const last = rows[rows.length - 1];
      return {
        district,
        lengthM: rows.reduce((sum, row) => sum + row.lengthM, 0),
        cost,
        costShare: totals.nominalCost.median > 0 ? cost / totals.nominalCost.median : 0,
        first: rows[0].failedShare,
        last: last.failedShare,
        backlogM: last.backlogM.median,
      };
    })
    .sort((a, b) => b.cost - a.cost);
}
