import { RuleFirstFailures } from '../../../../analytics/forecast/first-failures.ts';
import { forecastSegments } from '../../../../analytics/forecast/forecast-segments.ts';
import { ModelNewLives } from '../../../../analytics/forecast/new-life-draws.ts';
import { newLives } from '../../../../analytics/forecast/new-lives.ts';
import { seededRandom } from '../../../../analytics/numeric/seeded-normals.ts';
import type { ProgramInput } from '../../../../analytics/program/program-input.ts';
import { drawFirstFailures, type ProgramSample } from '../../../../analytics/program/program-sample.ts';
import type { PosteriorDraws } from '../../../../analytics/survival/aft.ts';

/** Three classes with median lives near 8, 12 and 17 years, one covariate, and a spread of parameters. */
function inventedDraws(count: number): PosteriorDraws {
  const { normal } = seededRandom(5);
  const coefficients = new Float64Array(count * 4);
  const scale = new Float64Array(count);
  for (let d = 0; d < count; d++) {
    const row = [8.5, 12.5, 18].map((years) => Math.log(years) + 0.12 * normal());
    coefficients.set([...row, -0.15 + 0.05 * normal()], d * 4);
    scale[d] = 0.4 * Math.exp(0.1 * normal());
  }
  return { draws: count, coefficients, scale, effectiveSampleSize: count, paretoK: 0 };
}

export interface InventedNetwork {
  readonly input: ProgramInput;
  readonly sample: ProgramSample;
  readonly classInPlace: Int32Array;
}

/** A network made from a seed, and the lives that its plans are tried on. `order`: segments in another order. */
export function inventedNetwork(
  options: { count?: number; years?: number; draws?: number; seed?: number; order?: readonly number[] } & Partial<
    Pick<ProgramInput, 'limits' | 'minimumJobM' | 'discountRatePerYear' | 'required' | 'barred' | 'objective'>
  > = {},
): InventedNetwork {
  const { count = 60, years = 12, draws: drawCount = 40, seed = 1 } = options;
  const random = seededRandom(seed);
  const pick = (n: number) => Math.floor(n * random.uniform());
  const made = Array.from({ length: count }, (_, key) => ({
    key,
    lengthM: 20 + 400 * random.uniform(),
    facility: pick(Math.max(2, count / 8)),
    sealantClass: pick(3),
    exposure: pick(5) / 2 - 1,
    age: 14 * random.uniform(),
    weight: 1 + pick(3),
    knownFailed: random.uniform() < 0.05,
  }));
  const segments = options.order?.map((i) => made[i]) ?? made;
  const column = (of: (s: (typeof made)[number]) => number) => Float64Array.from(segments, of);
  const whole = (of: (s: (typeof made)[number]) => number) => Int32Array.from(segments, of);
  const rows = (classOf: (s: (typeof made)[number]) => number) =>
    Float64Array.from(segments.flatMap((s) => [0, 1, 2].map((c) => +(classOf(s) === c)).concat(s.exposure)));
  const draws = inventedDraws(drawCount);
  const oldestAge = 60;
  const lives = [0, 1, 2].map((c) =>
    newLives(
      rows(() => c),
      draws,
      'weibull',
      oldestAge,
    ),
  );
  const known = {
    count,
    covariates: rows((s) => s.sealantClass),
    soundAgeYears: column((s) => Math.max(0, s.age - 2)),
    planningAgeYears: column((s) => s.age),
    foundFailedAgeYears: column((s) => (s.knownFailed ? s.age : Number.NaN)),
    damageShare: column(() => Number.NaN),
  };
  const forecast = { yearLeft: 0.5, horizonYears: years + 4, failureThresholdShare: 0.1, damageRule: null };
  const facilityCount = Math.max(2, Math.ceil(count / 8));
  const input: ProgramInput = {
    count,
    years,
    lengthM: column((s) => s.lengthM),
    facility: whole((s) => s.facility),
    district: whole((s) => s.facility % 2),
    facilityKind: whole((s) => s.facility % 3),
    facilities: {
      count: facilityCount,
      mobilisationCost: Float64Array.from({ length: facilityCount }, (_, f) => 500 + 100 * (f % 4)),
      district: Int32Array.from({ length: facilityCount }, (_, f) => f % 2),
    },
    inPlace: {
      ...forecastSegments(known, draws, 'weibull', forecast),
      ageYears: column((s) => s.age + 0.5),
      lives: newLives(known.covariates, draws, 'weibull', oldestAge),
    },
    newLives: lives,
    pricePerM: Float64Array.from(segments.flatMap((s) => [4, 6.5, s.exposure > 0.9 ? Number.NaN : 9])),
    openCostPerMYear: column((s) => 2.5 * s.weight),
    replacedInYear: whole((s) => (s.key % 11 === 3 ? 6 : -1)),
    heldBackYears: whole(() => 3),
    required: options.required ?? [],
    barred: options.barred ?? [],
    limits: options.limits ?? [],
    targets: [],
    minimumJobM: options.minimumJobM ?? 0,
    discountRatePerYear: options.discountRatePerYear ?? 0.04,
    objective: options.objective ?? 'least-cost',
  };
  const keys = whole((s) => s.key);
  const knownFailed = Uint8Array.from(segments, (s) => +s.knownFailed);
  const firstFailureYear = drawFirstFailures(
    { keys, knownFailed, draws: drawCount, years, seed: 3 },
    new RuleFirstFailures(known, draws, 'weibull', forecast),
  );
  const newLifeDraws = new ModelNewLives(lives, draws, 'weibull', years);
  return {
    input,
    sample: { draws: drawCount, seed: 3, keys, firstFailureYear, newLives: newLifeDraws },
    classInPlace: whole((s) => s.sealantClass),
  };
}

export const TERMS = { planningYear: 2026, priceYear: 2025, escalationPerYear: 0.03, priceLogSd: 0.1 };
