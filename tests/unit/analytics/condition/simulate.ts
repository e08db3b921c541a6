import type { ConditionData } from '../../../../analytics/condition/condition.ts';
import { linkOf, type ShareLink, shareOf } from '../../../../analytics/condition/share-link.ts';
import { type SeededRandom, seededRandom } from '../../../../analytics/numeric/seeded-normals.ts';
import type { Family } from '../../../../analytics/survival/aft.ts';

/** The truth behind a simulated network; threshold 10 %, two covariates (a switch and a standard normal one). */
export const TRUTH = {
  coefficients: [2.4, 0.3, -0.15],
  sigma: 0.4,
  exponent: 2.5,
  readingSd: 0.35,
  threshold: 0.1,
} as const;

export interface Simulation {
  readonly data: ConditionData;
  /** True shifts of the inspectors, centred. */ readonly shift: Float64Array;
  /** True ages at failure. */ readonly lives: Float64Array;
}

interface Wanted {
  readonly seed: number;
  readonly seals: number;
  readonly family?: Family;
  readonly link?: ShareLink;
  readonly inspectors?: number;
  /** Log of what each inspector reads too much before centring; left out: drawn with SD 0.2. */
  readonly shifts?: readonly number[];
  /** Ages are told with an even error of at most this, years. */ readonly ageErrorYears?: number;
}

function standardLife(family: Family, random: SeededRandom): number {
  if (family === 'lognormal') return random.normal();
  const u = 1 - random.uniform();
  return family === 'loglogistic' ? Math.log(u) - Math.log1p(-u) : Math.log(-Math.log(u));
}

/**
 * Seals that live, are looked at up to five times about every two years, and whose damaged share is read with error.
 * Whether a look finds a seal failed is known without error, as the model takes it; a third enter late.
 */
export function simulate(wanted: Wanted): Simulation {
  const { seed, seals, family = 'weibull', link = 'cloglog', inspectors = 6, ageErrorYears = 0 } = wanted;
  const random = seededRandom(seed);
  const drawn = Float64Array.from({ length: inspectors }, (_, k) => wanted.shifts?.[k] ?? 0.2 * random.normal());
  const mean = drawn.reduce((a, b) => a + b, 0) / inspectors;
  const shift = drawn.map((value) => value - mean);
  const rows = { entry: [0], lower: [0], upper: [0], covariates: [0], lives: [0], readingStart: [0] };
  const readings = { age: [0], share: [0], inspector: [0], ageSd: [0] };
  for (const list of [...Object.values(rows), ...Object.values(readings)]) list.length = 0;
  rows.readingStart.push(0);
  while (rows.lower.length < seals) {
    const x = [random.uniform() < 0.5 ? 1 : 0, random.normal()];
    const mu = TRUTH.coefficients[0] + TRUTH.coefficients[1] * x[0] + TRUTH.coefficients[2] * x[1];
    const y = mu + TRUTH.sigma * standardLife(family, random);
    const entry = random.uniform() < 1 / 3 ? 6 * random.uniform() : 0;
    const life = Math.exp(y);
    if (life <= entry) continue;
    const first = entry + 2 * random.uniform();
    const looks = 1 + Math.floor(5 * random.uniform());
    const error = ageErrorYears * (2 * random.uniform() - 1);
    let [lower, upper] = [entry, Number.POSITIVE_INFINITY];
    for (let j = 0; j < looks; j++) {
      const age = first + 2 * j * (0.8 + 0.4 * random.uniform());
      const k = Math.floor(inspectors * random.uniform());
      const level =
        linkOf(link, TRUTH.threshold) +
        TRUTH.exponent * (Math.log(age) - y) +
        shift[k] +
        TRUTH.readingSd * random.normal();
      readings.age.push(Math.max(0.02, age + error));
      readings.share.push(shareOf(link, level));
      readings.inspector.push(k);
      readings.ageSd.push(ageErrorYears / Math.sqrt(3));
      if (life > age) lower = Math.max(lower, age);
      else upper = Math.min(upper, age);
    }
    rows.entry.push(entry);
    rows.lower.push(lower);
    rows.upper.push(upper);
    rows.covariates.push(...x);
    rows.lives.push(life);
    rows.readingStart.push(readings.age.length);
  }
  return {
    data: {
      entry: Float64Array.from(rows.entry),
      lower: Float64Array.from(rows.lower),
      upper: Float64Array.from(rows.upper),
      weight: new Float64Array(seals).fill(1),
      covariates: Float64Array.from(rows.covariates),
      names: ['switch', 'width'],
      intercept: true,
      readingStart: Int32Array.from(rows.readingStart),
      readingAge: Float64Array.from(readings.age),
      readingShare: Float64Array.from(readings.share),
      readingInspector: Int32Array.from(readings.inspector),
      readingAgeSd: Float64Array.from(readings.ageSd),
    },
    shift,
    lives: Float64Array.from(rows.lives),
  };
}

/** The same rows without any reading. */
export const withoutReadings = (data: ConditionData): ConditionData => ({
  ...data,
  readingStart: new Int32Array(data.lower.length + 1),
  readingAge: new Float64Array(0),
  readingShare: new Float64Array(0),
  readingInspector: new Int32Array(0),
  readingAgeSd: new Float64Array(0),
});
