import type { ScenarioInputs } from '../../../../server/schemas/scenario.ts';
import { JOINT_TYPES, SEALANT_CLASSES } from '../../../../server/schemas/words.ts';
import type { NewProgram, StoredWork } from '../../../../server/store/scenario-store.ts';
import { seeded } from './sample-network.ts';

export const sampleInputs = (change: Partial<ScenarioInputs> = {}): ScenarioInputs => ({
  horizonYears: 20,
  question: 'least-cost',
  budgets: { moneyOf: 'each-year', everyYear: null, byYear: [], districts: [] },
  targets: [],
  allowedClasses: [],
  prices: [],
  priceUncertainty: 0.1,
  mobilisation: [{ facilityKind: 'any', mobilisationCost: 3000, trafficControlCost: 1000 }],
  escalationPerYear: null,
  discountRatePerYear: null,
  openJointCost: [],
  committed: [],
  heldBack: [],
  crewCapacityMPerYear: null,
  minimumJobM: 0,
  fixedCycleYears: 10,
  chosen: [],
  ...change,
});

export const sampleWork = (segmentId: string, change: Partial<StoredWork> = {}): StoredWork => ({
  segmentId,
  facilityId: 'F0',
  facilityName: 'Ring road 0',
  district: 'North',
  jointType: 'longitudinal',
  year: 2026,
  sealantClass: 'polysulfide',
  sealantClassInPlace: 'hot-applied',
  lengthM: 250.5,
  cost: 3000,
  constantCost: 2900,
  failedChance: 0.75,
  savedByNotWaiting: 120,
  neighbours: 3,
  why: 'due',
  because: 'worth-it',
  cheapestYear: 2026,
  savedAgainstNever: 2000,
  mobilisationCost: 4000,
  ...change,
});

/** Works of segments `ids`, one to three each, with ties, unknown values and every word. */
export function sampleWorks(ids: readonly string[], seed: number): StoredWork[] {
  const random = seeded(seed);
  const pick = <T>(words: readonly T[]): T => words[Math.floor(random() * words.length)];
  return ids.flatMap((id, i) =>
    Array.from({ length: 1 + (i % 3) }, (_, k) =>
      sampleWork(id, {
        facilityId: `F${i % 5}`,
        district: pick(['North', 'South', 'East, upper', '100% West']),
        jointType: pick(JOINT_TYPES),
        year: 2026 + k * 7 + Math.floor(random() * 6),
        sealantClass: pick(SEALANT_CLASSES),
        sealantClassInPlace: pick([...SEALANT_CLASSES, null]),
        lengthM: pick([100, 250.5, 400]),
        cost: pick([900, 1200.25, 4000]),
        failedChance: pick([0, 0.25, 0.75, 1]),
        savedByNotWaiting: pick([null, -20, 0, 130.5]),
        neighbours: i % 4,
        why: pick(['due', 'neighbour', 'committed', 'chosen', 'target']),
        cheapestYear: pick([null, 2030]),
      }),
    ),
  );
}

export const sampleProgram = (works: readonly StoredWork[], change: Partial<NewProgram> = {}): NewProgram => ({
  revision: 1,
  modelVersion: 1,
  dataVersion: 1,
  madeAt: '2024-06-01T10:00:00.000Z',
  planningDate: '2024-06-01',
  madeFrom: 'as it was',
  report: { sentence: 'sample', years: Array.from({ length: 20 }, (_, y) => ({ year: 2026 + y })) },
  draws: Uint8Array.of(1, 0, 255),
  freeKey: 'asked',
  freeObjective: 1000,
  works: [works],
  ...change,
});
