import { beforeAll, describe, expect, test } from 'vitest';
import { conditionDraws } from '../../../../analytics/condition/condition-draws.ts';
import { fitCondition } from '../../../../analytics/condition/fit-condition.ts';
import { forecastCondition } from '../../../../analytics/condition/forecast-condition.ts';
import { learnReading } from '../../../../analytics/condition/learn-reading.ts';
import { forecastSegments, type SegmentForecasts } from '../../../../analytics/forecast/forecast-segments.ts';
import { fitAft } from '../../../../analytics/survival/fit-aft.ts';
import { posteriorDraws } from '../../../../analytics/survival/posterior.ts';
import { type DemoCondition, demoCondition } from './demo-records.ts';

const HORIZON = { yearLeft: 0.5, horizonYears: 20 };
const DRAWS = { draws: 100, seed: 1 };
const THRESHOLD_SHARE = 0.1;

interface Score {
  segments: number;
  readonly errors: { plain: number[]; condition: number[] };
  covered: number;
}

/** Two demos of 2,000 segments: with about 1,200 segments each, one alone leaves a coverage uncertain by 1.2 points. */
const score: Score = { segments: 0, errors: { plain: [], condition: [] }, covered: 0 };
const exponents: number[] = [];
const noises: number[] = [];

beforeAll(async () => {
  for (const seed of [20_260_701, 7]) addScore(await demoCondition(2000, seed));
});

function addScore(demo: DemoCondition): void {
  const { data, prior, known, inPlace } = demo;
  const family = 'weibull' as const;
  const { reading } = learnReading(data, THRESHOLD_SHARE, { family, prior });
  const options = { family, prior, reading };
  const fit = fitCondition(data, options);
  if (!fit.growth) throw new Error(fit.sentence);
  exponents.push(fit.growth.exponent);
  noises.push(fit.growth.readingSd);
  const updated = forecastCondition(known, conditionDraws(data, fit, { ...options, ...DRAWS }), family, HORIZON);
  const threshold = posteriorDraws(data, fitAft(data, options), prior, DRAWS);
  const plain = forecastSegments(
    { ...known, damageShare: new Float64Array(known.count).fill(Number.NaN) },
    threshold,
    family,
    { ...HORIZON, failureThresholdShare: THRESHOLD_SHARE, damageRule: null },
  );
  const errorOf = ({ medianYears }: SegmentForecasts, i: number): number =>
    Math.abs((Number.isNaN(medianYears[i]) ? 100 : medianYears[i]) - inPlace[i].remainingYears);
  for (const [i, { remainingYears, foundFailedAgeYears }] of inPlace.entries()) {
    const shares = known.readingShare.subarray(known.readingStart[i], known.readingStart[i + 1]);
    if (!Number.isNaN(foundFailedAgeYears) || !shares.some((share) => share > reading.detectionLimitShare)) continue;
    score.segments++;
    score.errors.plain.push(errorOf(plain, i));
    score.errors.condition.push(errorOf(updated, i));
    const upper = Number.isNaN(updated.upperYears[i]) ? Infinity : updated.upperYears[i];
    if (remainingYears >= updated.lowerYears[i] && remainingYears <= upper) score.covered++;
  }
}

const medianOf = (values: readonly number[]): number => Float64Array.from(values).sort()[values.length >> 1];

describe('on the demo, whose true lives are known, for seals in place with damage on record', () => {
  test('the median error of remaining life is at least 15 % below that of soundness and failure alone', () => {
    expect(score.segments).toBeGreaterThan(2000);
    expect(medianOf(score.errors.condition)).toBeLessThan(0.85 * medianOf(score.errors.plain));
    // Measured: 0.6 years against 3.9.
    expect(medianOf(score.errors.condition)).toBeLessThan(0.8);
  });

  test('77 to 83 of 100 true lives end within their 80 % intervals', () => {
    expect(score.covered / score.segments).toBeGreaterThan(0.77);
    expect(score.covered / score.segments).toBeLessThan(0.83);
  });

  test('growth and noise of the readings come back: share = 10 % (age / life)^2.2, read with a log error of 0.2', () => {
    for (const exponent of exponents) expect(Math.abs(exponent - 2.2)).toBeLessThan(0.03);
    for (const noise of noises) expect(Math.abs(noise - 0.2)).toBeLessThan(0.01);
  });
});
