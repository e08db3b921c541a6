import { bench, describe } from 'vitest';
import { fallsDue } from '../../analytics/forecast/falls-due.ts';
import { forecastSegments } from '../../analytics/forecast/forecast-segments.ts';
import { seededRandom } from '../../analytics/numeric/seeded-normals.ts';

const SEGMENTS = 100_000;
const DRAWS = 200;
const COLUMNS = 16;
const CLASSES = 5;
const random = seededRandom(1);
const fill = (length: number, value: (i: number) => number) => Float64Array.from({ length }, (_, i) => value(i));

const coefficients = fill(DRAWS * COLUMNS, (i) =>
  i % COLUMNS < CLASSES ? 2.2 + 0.1 * (i % COLUMNS) + 0.05 * random.normal() : 0.05 * random.normal(),
);
const draws = {
  draws: DRAWS,
  coefficients,
  scale: fill(DRAWS, () => 0.35 + 0.1 * random.uniform()),
  effectiveSampleSize: DRAWS,
  paretoK: 0,
};
const soundAgeYears = fill(SEGMENTS, () => 12 * random.uniform());
/** Three fifths of the seals have some damage below the threshold. */
const knowledge = {
  count: SEGMENTS,
  covariates: fill(SEGMENTS * COLUMNS, (i) => {
    const column = i % COLUMNS;
    return column < CLASSES ? Number(Math.floor(i / COLUMNS) % CLASSES === column) : random.normal();
  }),
  soundAgeYears,
  planningAgeYears: soundAgeYears.map((age) => age + 2 * random.uniform()),
  foundFailedAgeYears: fill(SEGMENTS, () => Number.NaN),
  damageShare: fill(SEGMENTS, () => (random.uniform() < 0.6 ? 0.09 * random.uniform() : Number.NaN)),
};
const options = {
  yearLeft: 0.5,
  horizonYears: 20,
  failureThresholdShare: 0.1,
  damageRule: { exponent: 3, logSd: 0.4, pairs: 0 },
};

describe('100,000 segments x 200 draws', () => {
  bench('forecast of each segment', () => void forecastSegments(knowledge, draws, 'weibull', options), {
    iterations: 1,
    warmupIterations: 0,
    time: 0,
    warmupTime: 0,
  });
  bench(
    'what falls due each year',
    () =>
      void fallsDue(
        {
          ...knowledge,
          lengthM: fill(SEGMENTS, () => 100),
          district: Int32Array.from({ length: SEGMENTS }, (_, i) => i % 8),
          sealantClass: Int32Array.from({ length: SEGMENTS }, (_, i) => i % CLASSES),
          costPerM: fill(SEGMENTS, (i) => 4 + (i % 3)),
        },
        draws,
        'weibull',
        {
          ...options,
          planningYear: 2026,
          priceYear: 2025,
          escalationPerYear: 0.03,
          discountRatePerYear: 0.04,
          seed: 1,
        },
      ),
    { iterations: 1, warmupIterations: 0, time: 0, warmupTime: 0 },
  );
});
