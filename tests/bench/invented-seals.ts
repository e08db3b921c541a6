import type { ForecastOptions, SegmentKnowledge } from '../../analytics/forecast/forecast-segments.ts';
import { seededRandom } from '../../analytics/numeric/seeded-normals.ts';
import type { AftData, PosteriorDraws } from '../../analytics/survival/aft.ts';

const COLUMNS = 16;
const CLASSES = 5;
const random = seededRandom(1);
const fill = (length: number, value: (i: number) => number) => Float64Array.from({ length }, (_, i) => value(i));

/** Five classes, one column each, then eleven centred covariates. */
const covariates = (rows: number) =>
  fill(rows * COLUMNS, (i) => {
    const column = i % COLUMNS;
    return column < CLASSES ? Number(Math.floor(i / COLUMNS) % CLASSES === column) : random.normal();
  });

export const FORECAST_OPTIONS: ForecastOptions = {
  yearLeft: 0.5,
  horizonYears: 20,
  failureThresholdShare: 0.1,
  damageRule: { exponent: 3, logSd: 0.4, pairs: 0 },
};

/** Draws around lives of 9 to 13 years. */
export function inventedDraws(draws: number): PosteriorDraws {
  const mean = (column: number) => (column < CLASSES ? 2.2 + 0.1 * column : 0);
  return {
    draws,
    coefficients: fill(draws * COLUMNS, (i) => mean(i % COLUMNS) + 0.05 * random.normal()),
    scale: fill(draws, () => 0.35 + 0.1 * random.uniform()),
    effectiveSampleSize: draws,
    paretoK: 0,
  };
}

/** Seals in place, three fifths of them with some damage below the threshold. */
export function inventedKnowledge(count: number): SegmentKnowledge {
  const soundAgeYears = fill(count, () => 12 * random.uniform());
  return {
    count,
    covariates: covariates(count),
    soundAgeYears,
    planningAgeYears: soundAgeYears.map((age) => age + 2 * random.uniform()),
    foundFailedAgeYears: fill(count, () => Number.NaN),
    damageShare: fill(count, () => (random.uniform() < 0.6 ? 0.09 * random.uniform() : Number.NaN)),
  };
}

/** Rows of a fit: half of them failed between two looks two years apart, a third under observation late. */
export function inventedRows(rows: number): AftData {
  const entry = fill(rows, (i) => (i % 3 === 0 ? 2 : 0));
  const lower = entry.map((age) => age + Math.round(48 * random.uniform()) / 4 + 0.25);
  return {
    entry,
    lower,
    upper: lower.map((age, i) => (i % 2 === 0 ? age + 2 : Number.POSITIVE_INFINITY)),
    weight: new Float64Array(rows).fill(1),
    covariates: covariates(rows),
    names: Array.from({ length: COLUMNS }, (_, k) => `x${k}`),
    intercept: false,
  };
}
