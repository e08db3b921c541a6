/**
 * What is to be resealed when. Years count from 0, the planning year; things happen at the end of a year: work of year t
 * leaves a seal of age 0 at its end, and a joint is open in year t with the chance that it has failed by its end and was
 * not resealed in it. All money is constant money of the price year.
 */
export interface ProgramProblem {
  /** Segments. */ readonly count: number;
  /** Length of the horizon, 1 to 40. */ readonly years: number;
  /** Sealed length of each segment, m, above 0. */ readonly lengthM: Float64Array;
  /** Facility of each segment: what shares mobilisation and closes as a unit. */ readonly facility: Int32Array;
  /** District of each segment. */ readonly district: Int32Array;
  /** Kind of facility of each segment. */ readonly facilityKind: Int32Array;
  /** Economic type of each segment: an index into `types`. */ readonly type: Int32Array;
  /**
   * Row-major, count x years: chance of having failed by the end of each year with no reseal in the horizon. Never falls.
   */
  readonly failedByYearEnd: Float64Array;
  /** Cost of all that follows the horizon, valued in year 0, per metre, for a segment not resealed within it. */
  readonly finalCostIfNeverPerM: Float64Array;
  /** Row-major, count x years: what each year may hold, see `WORK`. */ readonly work: Uint8Array;
  /** Class that required work must use; -1: any allowed one. */ readonly requiredClass: Int32Array;
  /**
   * Year in which the pavement is replaced and the joint goes with it; `years`: not within the horizon. From that year on
   * the segment has no work, is not failed, costs nothing, and nothing of it follows the horizon. It stays in the sealed
   * length that shares are taken of.
   */
  readonly goneFromYear: Int32Array;
  readonly types: ProgramTypes;
  readonly facilities: ProgramFacilities;
  readonly limits: readonly ProgramLimit[];
  readonly targets: readonly FailedShareTarget[];
  /**
   * A facility-year with any work must hold at least this length, m, or all that may be worked there in that year where
   * that is less; 0: no least job.
   */
  readonly minimumJobM: number;
  /** Real rate a year, 0 or more. */ readonly discountRatePerYear: number;
  /**
   * `least-cost`: least discounted cost of work, open joints and what follows the horizon.
   * `least-spending`: least discounted cost of work (with mobilisation) alone; the targets make it do any.
   */
  readonly objective: 'least-cost' | 'least-spending';
}

/** Whether a segment may be resealed in a year. */
export const WORK = { barred: 0, allowed: 1, required: 2 } as const;

/** Segments alike but for length and the seal in place: same lives, prices and cost of an open joint. */
export interface ProgramTypes {
  readonly count: number;
  /** Sealant classes. */ readonly classes: number;
  /** Row-major, types x classes: curve of a new seal of that class; -1: not allowed there. */ readonly curve: Int32Array;
  /** Row-major, types x classes: price of resealing one metre; not read where the class is not allowed. */
  readonly pricePerM: Float64Array;
  /** Cost of one metre failed and open for one year, consequence weight included; 0 or more. */
  readonly openCostPerMYear: Float64Array;
  /** Row-major, curves x (oldestAge + 1): chance that a new seal has failed by each whole age; entry 0 is 0. */
  readonly failedByAge: Float64Array;
  readonly oldestAge: number;
  /**
   * Row-major, types x classes x (years + 1): cost per metre of all that follows the horizon for a seal of that class and
   * age (whole years) at its end, valued at its end: the end of year `years` - 1. Entry 0 is a seal just made.
   */
  readonly finalCostPerM: Float64Array;
}

export interface ProgramFacilities {
  readonly count: number;
  /** Mobilisation and traffic control of a facility in a year with any work there; 0 or more. */
  readonly mobilisationCost: Float64Array;
  /** District whose budget pays for it. */ readonly district: Int32Array;
}

/** Money or length worked in one year, in the whole network (`district` null) or in one district. */
export interface ProgramLimit {
  readonly of: 'money' | 'length';
  readonly year: number;
  readonly district: number | null;
  /** Money in constant money, length in m; null: no such bound. */ readonly atMost: number | null;
  readonly atLeast: number | null;
}

/** Expected failed length at the end of a year over sealed length, in part of the network. */
export interface FailedShareTarget {
  readonly scope: 'network' | 'district' | 'facility-kind';
  /** Index of the district or kind; not read for the network. */ readonly index: number;
  readonly year: number;
  /** 0 to 1. */ readonly atMostShare: number;
}

/** Work by segment, then year. One entry for each reseal; all three arrays have the same length. */
export interface ProgramPlan {
  readonly segment: Int32Array;
  readonly year: Int32Array;
  readonly sealantClass: Int32Array;
}

/** A bound that is missed by the nearest plan, and by how much. */
export interface ProgramConflict {
  /** Index into `limits` or `targets`. */ readonly row: number;
  readonly in: 'limits' | 'targets';
  /** Best value within reach: money, m or share. */ readonly reachable: number;
  /** The bound asked for. */ readonly asked: number;
}

export interface ProgramSolution {
  readonly status: 'solved' | 'stopped' | 'infeasible';
  readonly plan: ProgramPlan;
  /** Objective of the plan; with `infeasible` that of the nearest plan. */ readonly objective: number;
  /**
   * No feasible plan can have a lower objective; with `infeasible`, none that misses the bounds by no more than the
   * nearest plan.
   */
  readonly bound: number;
  /** (objective - bound) / |objective|, 0 or more; null when the plan misses bounds. */ readonly gapShare:
    | number
    | null;
  /**
   * One for each limit, then one for each target: what the objective would fall by for one more unit of the bound (money,
   * m, or 1 of share), 0 or more; negative for a bound from below, where one more unit costs.
   */
  readonly rowPrices: Float64Array;
  /** Bounds that the plan misses: with `infeasible`, which a search stopped early may also be. */
  readonly conflicts: readonly ProgramConflict[];
  /** False: the search found no plan that keeps these bounds, yet has no proof that there is none. */
  readonly conflictsProven: boolean;
  /** How it was solved. */ readonly method: 'exact' | 'decomposition';
  readonly rounds: number;
}

export interface SolveProgress {
  /** 0 to 1. */ readonly shareDone: number;
  readonly bound: number;
  /** null: no feasible plan yet. */ readonly incumbent: number | null;
}

export interface SolveOptions {
  /** Ends once the gap is no wider; 0: go on to the last round. */ readonly gapShare: number;
  /** Rounds of prices at most. */ readonly rounds: number;
  readonly progress?: (now: SolveProgress) => void;
  /** True ends the search with the best plan so far, status `stopped`. */ readonly cancelled?: () => boolean;
}
