import { seededRandom } from '../../../../../analytics/numeric/seeded-normals.ts';
import type {
  FailedShareTarget,
  ProgramLimit,
  ProgramProblem,
} from '../../../../../analytics/program/program-problem.ts';

/** What a random program may hold. Every one of them is small enough for a general solver. */
export interface ProgramShape {
  readonly segments: number;
  readonly years: number;
  readonly classes: number;
  readonly facilities: number;
  readonly districts: number;
  /** Yearly budgets as a share of what all segments at once would cost, spread over the years; null: none. */
  readonly budgetShare: number | null;
  readonly floors: boolean;
  readonly lengthCaps: boolean;
  readonly targets: boolean;
  readonly masks: boolean;
  readonly minimumJob: boolean;
  /** Mobilisation as a share of a facility's whole work. */ readonly mobilisationShare: number;
  readonly objective: ProgramProblem['objective'];
}

/** A shape drawn at random: from two segments in two years to sixty in six. */
export function randomShape(seed: number, largest = 60): ProgramShape {
  const random = seededRandom(seed * 7919 + 1).uniform;
  for (let skipped = 0; skipped < 8; skipped++) random();
  const yes = (share: number) => random() < share;
  const segments = 2 + Math.floor((largest - 1) * random() ** 2);
  const leastSpending = yes(0.15);
  return {
    segments,
    years: 2 + Math.floor(5 * random()),
    classes: 1 + Math.floor(3 * random()),
    facilities: 1 + Math.floor(Math.min(8, segments / 2) * random()),
    districts: 1 + Math.floor(2 * random()),
    budgetShare: leastSpending || yes(0.1) ? null : 0.15 + 0.7 * random(),
    floors: yes(0.2),
    lengthCaps: yes(0.25),
    targets: leastSpending || yes(0.35),
    masks: yes(0.4),
    minimumJob: yes(0.25),
    mobilisationShare: yes(0.2) ? 0 : 0.3 * random(),
    objective: leastSpending ? 'least-spending' : 'least-cost',
  };
}

const weibull = (age: number, scale: number, shape: number) => 1 - Math.exp(-((age / scale) ** shape));

/** An invented network: Weibull seals of various ages, a few prices, and bounds that bind more or less. */
export function randomProgram(shape: ProgramShape, seed: number): ProgramProblem {
  const random = seededRandom(seed).uniform;
  const { segments: count, years, classes, facilities, districts } = shape;
  const between = (low: number, high: number) => low + (high - low) * random();
  const below = (n: number) => Math.min(n - 1, Math.floor(n * random()));
  const typeCount = 1 + below(3);
  const scales = Array.from({ length: typeCount * classes }, () => between(4, 14));
  const oldestAge = years + 30;
  const rate = between(0, 0.06);
  const prices = Float64Array.from({ length: typeCount * classes }, () => between(4, 12));
  const openCost = Float64Array.from({ length: typeCount }, () => between(0.5, 5));
  const replace = between(0.3, 1);
  const type = Int32Array.from({ length: count }, () => below(typeCount));
  const lengthM = Float64Array.from({ length: count }, () => Math.round(between(20, 400)));
  const facility = Int32Array.from({ length: count }, (_, i) => (i < facilities ? i : below(facilities)));
  const facilityDistrict = Int32Array.from({ length: facilities }, () => below(districts));
  const ages = Array.from({ length: count }, () => between(0, 12));
  const lives = Array.from({ length: count }, () => between(4, 14));
  const failed = (i: number, t: number) => weibull(ages[i] + t + 1, lives[i], 2.5);
  const work = new Uint8Array(count * years).fill(1);
  const requiredClass = new Int32Array(count).fill(-1);
  if (shape.masks)
    for (let i = 0; i < count; i++) {
      for (let t = 0; t < years; t++) if (random() < 0.2) work[i * years + t] = 0;
      if (random() >= 0.1) continue;
      work[i * years + below(years)] = 2;
      if (random() < 0.5) requiredClass[i] = below(classes);
    }
  const need = lengthM.reduce((sum, m, i) => sum + m * prices[type[i] * classes], 0);
  const mobilisation = Float64Array.from({ length: facilities }, () =>
    Math.round((between(0.5, 1.5) * shape.mobilisationShare * need) / facilities),
  );
  return {
    count,
    years,
    lengthM,
    facility,
    district: facility.map((f) => (random() < 0.95 ? facilityDistrict[f] : below(districts))),
    facilityKind: facility.map((f) => f % 2),
    type,
    failedByYearEnd: Float64Array.from({ length: count * years }, (_, at) =>
      failed(Math.floor(at / years), at % years),
    ),
    finalCostIfNeverPerM: Float64Array.from(
      { length: count },
      (_, i) => (replace * 10 * (0.3 + failed(i, years))) / (1 + rate) ** (years - 1),
    ),
    work,
    requiredClass,
    goneFromYear: Int32Array.from({ length: count }, (_, i) =>
      shape.masks && random() < 0.08 && requiredClass[i] < 0 && !work.subarray(i * years, (i + 1) * years).includes(2)
        ? below(years)
        : years,
    ),
    types: {
      count: typeCount,
      classes,
      curve: Int32Array.from({ length: typeCount * classes }, (_, k) => k),
      pricePerM: prices,
      openCostPerMYear: openCost,
      failedByAge: Float64Array.from({ length: typeCount * classes * (oldestAge + 1) }, (_, at) =>
        weibull(at % (oldestAge + 1), scales[Math.floor(at / (oldestAge + 1))], 2.5),
      ),
      oldestAge,
      finalCostPerM: Float64Array.from({ length: typeCount * classes * (years + 1) }, (_, at) => {
        const age = at % (years + 1);
        return replace * 10 * (0.3 + weibull(age + 2, scales[Math.floor(at / (years + 1))], 2.5));
      }),
    },
    facilities: { count: facilities, mobilisationCost: mobilisation, district: facilityDistrict },
    limits: limitsOf(shape, random, { need, lengthM: lengthM.reduce((sum, m) => sum + m, 0) }),
    targets: targetsOf(shape, random),
    minimumJobM: shape.minimumJob ? between(100, 600) : 0,
    discountRatePerYear: rate,
    objective: shape.objective,
  };
}

function limitsOf(shape: ProgramShape, random: () => number, all: { need: number; lengthM: number }): ProgramLimit[] {
  const limits: ProgramLimit[] = [];
  const byDistrict = random() < 0.5;
  for (let year = 0; year < shape.years; year++) {
    if (shape.budgetShare !== null) {
      const yearly = (1.6 * shape.budgetShare * all.need) / shape.years;
      const atMost = (share: number) => Math.round(yearly * share * (0.7 + 0.6 * random()));
      if (byDistrict)
        for (let district = 0; district < shape.districts; district++) {
          const most = atMost(1 / shape.districts);
          const atLeast = shape.floors && random() < 0.5 ? Math.round(0.3 * most) : null;
          limits.push({ of: 'money', year, district, atMost: most, atLeast });
        }
      else limits.push({ of: 'money', year, district: null, atMost: atMost(1), atLeast: null });
    }
    if (shape.lengthCaps)
      limits.push({
        of: 'length',
        year,
        district: null,
        atMost: Math.round((all.lengthM / shape.years) * (0.5 + random())),
        atLeast: null,
      });
  }
  return limits;
}

function targetsOf(shape: ProgramShape, random: () => number): FailedShareTarget[] {
  if (!shape.targets) return [];
  const targets: FailedShareTarget[] = [];
  for (let year = Math.floor(shape.years / 2); year < shape.years; year++)
    targets.push({ scope: 'network', index: 0, year, atMostShare: 0.3 + 0.3 * random() });
  if (random() < 0.5)
    targets.push({ scope: 'facility-kind', index: 0, year: shape.years - 1, atMostShare: 0.2 + 0.3 * random() });
  return targets;
}
