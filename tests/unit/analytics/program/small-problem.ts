import type { ProgramProblem } from '../../../../analytics/program/program-problem.ts';

/** One segment of 100 m, 3 years, one class: chances, lives and costs that fit in the head. */
export const small: ProgramProblem = {
  count: 1,
  years: 3,
  lengthM: Float64Array.of(100),
  facility: Int32Array.of(0),
  district: Int32Array.of(0),
  facilityKind: Int32Array.of(0),
  type: Int32Array.of(0),
  failedByYearEnd: Float64Array.of(0.5, 0.7, 0.9),
  finalCostIfNeverPerM: Float64Array.of(20),
  work: Uint8Array.of(1, 1, 1),
  requiredClass: Int32Array.of(-1),
  goneFromYear: Int32Array.of(3),
  types: {
    count: 1,
    classes: 1,
    curve: Int32Array.of(0),
    pricePerM: Float64Array.of(5),
    openCostPerMYear: Float64Array.of(4),
    failedByAge: Float64Array.of(0, 0.1, 0.3, 0.6),
    oldestAge: 3,
    finalCostPerM: Float64Array.of(8, 10, 13, 17),
  },
  facilities: { count: 1, mobilisationCost: Float64Array.of(50), district: Int32Array.of(0) },
  limits: [],
  targets: [],
  minimumJobM: 0,
  discountRatePerYear: 0.25,
  objective: 'least-cost',
};
