import { seededRandom } from '../../analytics/numeric/seeded-normals.ts';
import type { ProgramLimit, ProgramProblem } from '../../analytics/program/program-problem.ts';

export interface InventedProgram {
  readonly segments: number;
  readonly years: number;
  readonly seed: number;
  /** Yearly budget of a district, as a share of what its joints would need in the long run. */
  readonly budgetShare: number;
  /** Fewest and most segments of a facility; left out: 50 to 300. */
  readonly facilitySegments?: readonly [number, number];
}

const FACILITY_SEGMENTS = [50, 300] as const;

const CLASSES = [
  { pricePerM: 9, scaleYears: 15 },
  { pricePerM: 5.5, scaleYears: 9 },
  { pricePerM: 14, scaleYears: 20 },
];
const SHAPE = 3;
const DISTRICTS = 2;
const OLDEST = 60;
/** Years between reseals on which the long-run need is reckoned. */ const CYCLE_YEARS = 10;

const failedBy = (age: number, scale: number) => 1 - Math.exp(-((age / scale) ** SHAPE));

/**
 * A network as an agency might have: facilities of segments of various ages, some twenty economic types, 3 classes,
 * mobilisation of 5 to 20 % of a usual year's work on a facility, and yearly budgets of two districts that bind.
 */
export function inventedProgram(invented: InventedProgram): ProgramProblem {
  const { segments: count, years, seed, budgetShare } = invented;
  const [fewest, most] = invented.facilitySegments ?? FACILITY_SEGMENTS;
  const { uniform } = seededRandom(seed);
  const between = (low: number, high: number) => low + (high - low) * uniform();
  const types = inventedTypes(years, between);
  const facility = new Int32Array(count);
  for (let i = 0, f = 0; i < count; f++)
    for (let left = Math.floor(between(fewest, most)); left > 0 && i < count; left--) facility[i++] = f;
  const facilities = facility[count - 1] + 1;
  const facilityDistrict = Int32Array.from({ length: facilities }, () => Math.floor(between(0, DISTRICTS)));
  const builtAgo = Float64Array.from({ length: facilities }, () => between(1, 14));
  const climate = Float64Array.from({ length: facilities }, () => between(0.8, 1.25));
  const lengthM = new Float64Array(count);
  const type = new Int32Array(count);
  const failedByYearEnd = new Float64Array(count * years);
  const finalCostIfNeverPerM = new Float64Array(count);
  const whole = new Float64Array(facilities);
  const need = new Float64Array(DISTRICTS);
  for (let i = 0; i < count; i++) {
    const f = facility[i];
    lengthM[i] = between(20, 250);
    type[i] = Math.floor(types.count * (0.2 * uniform() + 0.8 * ((f * 0.618) % 1)));
    const age = Math.max(0, builtAgo[f] + between(-3, 3));
    const scale = CLASSES[Math.floor(between(0, 3))].scaleYears * climate[f] * between(0.85, 1.15);
    const unseen = between(0, 1) < 0.6 ? 0 : failedBy(age, scale);
    for (let t = 0; t < years; t++) {
      const sound = (1 - failedBy(age + t + 1, scale)) / (1 - failedBy(age, scale));
      failedByYearEnd[i * years + t] = 1 - (1 - unseen) * sound;
    }
    finalCostIfNeverPerM[i] = 30 * 1.04 ** (1 - years);
    whole[f] += lengthM[i] * CLASSES[0].pricePerM;
    need[facilityDistrict[f]] += (lengthM[i] * CLASSES[0].pricePerM) / CYCLE_YEARS;
  }
  const limits = Array.from({ length: years }, (_, year) => year).flatMap((year): ProgramLimit[] =>
    [...need].map((yearly, district) => ({
      of: 'money',
      year,
      district,
      atMost: yearly * budgetShare * (1 + 0.1 * Math.sin(year + district)),
      atLeast: null,
    })),
  );
  return {
    count,
    years,
    lengthM,
    facility,
    district: facility.map((f) => facilityDistrict[f]),
    facilityKind: facility.map((f) => f % 3),
    type,
    failedByYearEnd,
    finalCostIfNeverPerM,
    work: new Uint8Array(count * years).fill(1),
    requiredClass: new Int32Array(count).fill(-1),
    goneFromYear: new Int32Array(count).fill(years),
    types,
    facilities: {
      count: facilities,
      mobilisationCost: whole.map((cost) => 0.25 * cost * between(0.05, 0.2)),
      district: facilityDistrict,
    },
    limits,
    targets: [],
    minimumJobM: 0,
    discountRatePerYear: 0.04,
    objective: 'least-cost',
  };
}

/** Twenty types: five climates, two fuel exposures (one bars a class), two consequence weights. */
function inventedTypes(years: number, between: (low: number, high: number) => number): ProgramProblem['types'] {
  const count = 20;
  const classes = CLASSES.length;
  const scales = Float64Array.from(
    { length: count * classes },
    (_, k) =>
      CLASSES[k % classes].scaleYears * (0.8 + ((0.1125 * Math.floor(k / classes)) % 0.45)) * between(0.95, 1.05),
  );
  const prices = Float64Array.from(
    { length: count * classes },
    (_, k) => CLASSES[k % classes].pricePerM * between(0.9, 1.1),
  );
  return {
    count,
    classes,
    curve: Int32Array.from({ length: count * classes }, (_, k) =>
      k % classes === 1 && Math.floor(k / classes) % 2 === 1 ? -1 : k,
    ),
    pricePerM: prices,
    openCostPerMYear: Float64Array.from({ length: count }, (_, e) => (e % 4 < 2 ? 1.2 : 2.4) * between(0.9, 1.1)),
    failedByAge: Float64Array.from({ length: count * classes * (OLDEST + 1) }, (_, at) =>
      failedBy(at % (OLDEST + 1), scales[Math.floor(at / (OLDEST + 1))]),
    ),
    oldestAge: OLDEST,
    finalCostPerM: Float64Array.from({ length: count * classes * (years + 1) }, (_, at) => {
      const k = Math.floor(at / (years + 1));
      return 18 + prices[k] * 1.3 * failedBy((at % (years + 1)) + 2, scales[k]);
    }),
  };
}
