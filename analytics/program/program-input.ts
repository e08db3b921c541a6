import type { NewLives } from '../forecast/new-lives.ts';
import type { FailedShareTarget, ProgramFacilities, ProgramLimit, ProgramProblem } from './program-problem.ts';

/**
 * A network and a scenario as plain numbers, one entry for each segment that a seal is in place in. Years count from 0, the
 * planning year. Classes keep one order in every scenario, since their chances and prices are drawn by it.
 */
export interface ProgramInput {
  /** Segments. Leave out those unsealed by policy: they have no seal that could fail. */ readonly count: number;
  /** Length of the horizon, 1 to 40. */ readonly years: number;
  /** Sealed length, m, above 0. */ readonly lengthM: Float64Array;
  readonly facility: Int32Array;
  readonly district: Int32Array;
  readonly facilityKind: Int32Array;
  readonly facilities: ProgramFacilities;
  readonly inPlace: SealsInPlace;
  /** One for each class: life of a new seal of that class in each segment, from the segment's own covariates. */
  readonly newLives: readonly NewLives[];
  /** Row-major, count x classes: price of resealing one metre in constant money; NaN: the class may not be used there. */
  readonly pricePerM: Float64Array;
  /** Cost of one metre failed and open for a year, consequence weight included; 0 or more. */
  readonly openCostPerMYear: Float64Array;
  /** Year in which the pavement is replaced; -1: not planned. */ readonly replacedInYear: Int32Array;
  /** No reseal within so many years before the pavement is replaced, 0 or more. */ readonly heldBackYears: Int32Array;
  /** Work that is settled: committed or chosen by hand. */ readonly required: readonly RequiredWork[];
  /** Years in which a segment is left alone. Required work goes before. */ readonly barred: readonly BarredYears[];
  readonly limits: readonly ProgramLimit[];
  readonly targets: readonly FailedShareTarget[];
  /** Least length of a facility-year with any work, m, as in the problem; 0: no least job. */ readonly minimumJobM: number;
  /** Real rate a year, 0 or more. */ readonly discountRatePerYear: number;
  readonly objective: ProgramProblem['objective'];
}

/** Seals in service, one entry for each segment. */
export interface SealsInPlace {
  /** Row-major, count x yearEnds: chance of having failed by the end of the planning year and of each later year. */
  readonly failedByYearEnd: Float64Array;
  /** As many as the horizon has years, or more: what is known beyond it is used for what follows. */
  readonly yearEnds: number;
  /** Age at the end of the planning year, years, 0 or more. */ readonly ageYears: Float64Array;
  /** Life of a seal of the class in place: beyond `yearEnds` it goes on along its curve from its age. */
  readonly lives: NewLives;
}

export interface RequiredWork {
  readonly segment: number;
  readonly year: number;
  /** -1: any class allowed there. */ readonly sealantClass: number;
}

export interface BarredYears {
  readonly segment: number;
  readonly fromYear: number;
  /** Last barred year. */ readonly toYear: number;
}
