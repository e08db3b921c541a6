import type { Estimate } from './program-outcome.ts';

/** Second plan less first, over the years that both have. Draws are shared, so chance common to both cancels. */
export interface ProgramComparison {
  /** Calendar years compared. */ readonly years: readonly number[];
  readonly cost: Estimate;
  readonly presentCost: Estimate;
  readonly presentOpenCost: Estimate;
  readonly presentTotal: Estimate;
  readonly failedLengthYears: Estimate;
  readonly backlogAtEndM: Estimate;
  /** Share of draws in which the second has the lower `presentTotal`; ties count half. */ readonly cheaperShare: number;
  readonly byYear: readonly {
    readonly year: number;
    readonly cost: Estimate;
    readonly failedShare: Estimate;
    readonly backlogM: Estimate;
  }[];
}

/** What the second plan does otherwise than the first, ordered by segment, then year. */
export interface PlanChange {
  readonly segment: number;
  readonly kind: 'added' | 'dropped' | 'moved' | 'other-class';
  /** Year and class in the first plan; null: added. */ readonly before: PlannedWork | null;
  /** In the second; null: dropped. */ readonly after: PlannedWork | null;
}

export interface PlannedWork {
  readonly year: number;
  readonly sealantClass: number;
}
