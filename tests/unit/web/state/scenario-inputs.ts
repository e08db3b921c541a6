import type { ScenarioInputs } from '../../../../server/schemas/scenario.ts';

/** A scenario that uses every kind of input; years, money and names are invented. */
export const FULL_INPUTS: ScenarioInputs = {
  horizonYears: 12,
  question: 'least-budget',
  budgets: {
    moneyOf: 'each-year',
    everyYear: 2_500_000.5,
    byYear: [
      { year: 2027, atMost: 1_250_000 },
      { year: 2029, atMost: null },
    ],
    districts: [
      { district: 'North', year: null, atLeast: 100_000, atMost: null },
      { district: 'Coast', year: 2028, atLeast: null, atMost: 700_000 },
    ],
  },
  targets: [
    { scope: 'network', name: null, fromYear: null, atMostShare: 0.08 },
    { scope: 'facility-kind', name: 'runway', fromYear: 2030, atMostShare: 0.0125 },
  ],
  allowedClasses: [
    { sealantClass: 'silicone-self-levelling', jointTypes: [], whereFuelIsSpilled: false },
    { sealantClass: 'polysulfide', jointTypes: ['longitudinal'], whereFuelIsSpilled: true },
  ],
  prices: [{ sealantClass: 'polysulfide', jointType: 'any', costPerM: 14.123456 }],
  priceUncertainty: 0.1,
  mobilisation: [
    { facilityKind: 'any', mobilisationCost: 3000, trafficControlCost: 5000 },
    { facilityKind: 'runway', mobilisationCost: 6000, trafficControlCost: 0 },
  ],
  escalationPerYear: null,
  discountRatePerYear: 0.041,
  openJointCost: [{ facilityKind: 'any', costPerMYear: 6.54321 }],
  committed: [{ segmentId: 'A-1', year: 2027, sealantClass: null }],
  heldBack: [{ segmentId: null, facilityId: 'RW-1', pavementYear: 2031, yearsBefore: 3 }],
  crewCapacityMPerYear: 60_000.25,
  minimumJobM: 400,
  fixedCycleYears: 10,
  chosen: [{ segmentId: 'B-2', year: null, sealantClass: null }],
};

export const PLAIN_INPUTS: ScenarioInputs = {
  ...FULL_INPUTS,
  horizonYears: 20,
  question: 'least-cost',
  budgets: { moneyOf: 'each-year', everyYear: null, byYear: [], districts: [] },
  targets: [],
  allowedClasses: [],
  prices: [],
  mobilisation: [],
  openJointCost: [],
  discountRatePerYear: null,
  committed: [],
  heldBack: [],
  crewCapacityMPerYear: null,
  chosen: [],
};
