import erfc from '@stdlib/math-base-special-erfc';
import { describe, expect, test } from 'vitest';
import { type ConditionDraws, readingModel } from '../../../../analytics/condition/condition.ts';
import { conditionDraws } from '../../../../analytics/condition/condition-draws.ts';
import { ConditionKernel, MOST_POINTS } from '../../../../analytics/condition/condition-kernel.ts';
import { fitCondition } from '../../../../analytics/condition/fit-condition.ts';
import { type ConditionKnowledge, forecastCondition } from '../../../../analytics/condition/forecast-condition.ts';
import { prepareReadings } from '../../../../analytics/condition/prepared-readings.ts';
import { linkOf } from '../../../../analytics/condition/share-link.ts';
import { forecastSegments } from '../../../../analytics/forecast/forecast-segments.ts';
import type { Family } from '../../../../analytics/survival/aft.ts';
import { simulate, TRUTH, withoutReadings } from './simulate.ts';

const reading = readingModel(TRUTH.threshold);
const horizon = { yearLeft: 0.5, horizonYears: 20 };
const { data } = simulate({ seed: 21, seals: 250, ageErrorYears: 0.3 });
const fit = fitCondition(data, { family: 'weibull', prior: null, reading });
const draws = conditionDraws(data, fit, { family: 'weibull', prior: null, reading, draws: 40, seed: 1 });

/** The seals as segments: last seen at their lower age, planned for a year later. */
function knowledge(from = data): ConditionKnowledge {
  const count = from.lower.length;
  return {
    ...from,
    count,
    covariates: Float64Array.from({ length: 3 * count }, (_, k) =>
      k % 3 === 0 ? 1 : from.covariates[2 * Math.floor(k / 3) + (k % 3) - 1],
    ),
    soundAgeYears: from.lower,
    planningAgeYears: from.lower.map((age, i) => (from.upper[i] < Infinity ? from.upper[i] : age) + 1),
    foundFailedAgeYears: from.upper.map((age) => (age < Infinity ? age : Number.NaN)),
  };
}
const known = knowledge();
const stillSound = [...known.foundFailedAgeYears.keys()].filter((i) => Number.isNaN(known.foundFailedAgeYears[i]));

const logLife: Record<Family, (z: number) => number> = {
  weibull: (z) => z - Math.exp(z),
  exponential: (z) => z - Math.exp(z),
  loglogistic: (z) => z - 2 * Math.log1p(Math.exp(z)),
  lognormal: (z) => -0.5 * z * z,
};

/** The form to read: log density of y up to a constant, under draw `d`, given segment `i`'s readings. */
function logDensity(of: ConditionDraws, family: Family, i: number, d: number) {
  const { growth } = of;
  if (!growth) throw new Error('No growth');
  let mu = 0;
  for (let k = 0; k < 3; k++) mu += of.coefficients[3 * d + k] * known.covariates[3 * i + k];
  const [m, tau] = [growth.exponent[d], growth.readingSd[d]];
  const atThreshold = linkOf(reading.link, reading.failureThresholdShare);
  return (y: number): number => {
    let value = logLife[family]((y - mu) / of.scale[d]);
    for (let r = known.readingStart[i]; r < known.readingStart[i + 1]; r++) {
      const share = Math.min(Math.max(known.readingShare[r], reading.detectionLimitShare), reading.fullLimitShare);
      const ageOverLife = Math.exp((linkOf(reading.link, share) - atThreshold) / 2.5);
      const sd = Math.hypot(tau, ((m * (known.readingAgeSd?.[r] ?? 0)) / known.readingAge[r]) * (1 - ageOverLife));
      const shift = growth.inspectorShift[d * growth.inspectors + known.readingInspector[r]];
      const expected = atThreshold + m * (Math.log(known.readingAge[r]) - y) + shift;
      const z = (linkOf(reading.link, share) - expected) / sd;
      if (known.readingShare[r] <= reading.detectionLimitShare) value += Math.log(0.5 * erfc(-z * Math.SQRT1_2));
      else if (known.readingShare[r] >= reading.fullLimitShare) value += Math.log(0.5 * erfc(z * Math.SQRT1_2));
      else value -= 0.5 * z * z;
    }
    return value;
  };
}

describe('the kernel', () => {
  test('agrees with the scalar form to 1e-8 at every point, for every family', () => {
    if (!draws.growth) throw new Error(fit.sentence);
    const out = new Float64Array(MOST_POINTS);
    for (const family of ['weibull', 'lognormal', 'loglogistic'] as const) {
      const input = { covariates: known.covariates, readings: prepareReadings(known, reading) };
      const kernel = new ConditionKernel(input, draws, draws.growth, family);
      for (const i of stillSound.slice(0, 40)) {
        kernel.turnTo(i, Math.log(known.soundAgeYears[i]));
        for (const d of [0, 17]) {
          kernel.densityInto(out, d);
          const twin = logDensity(draws, family, i, d);
          const values = Array.from({ length: kernel.points }, (_, j) => twin(kernel.low + j * kernel.step));
          // Both up to a constant: compare with the highest point.
          const top = values.indexOf(Math.max(...values));
          for (const [j, value] of values.entries())
            expect(Math.abs(out[j] / out[top] - Math.exp(value - values[top]))).toBeLessThan(1e-8);
        }
      }
    }
  });
});

describe('the forecast', () => {
  const forecast = forecastCondition(known, draws, 'weibull', horizon);

  test('is the average over draws of the integral that the model states, to 2e-4', () => {
    for (const i of stillSound.slice(0, 8)) {
      const ages = [known.planningAgeYears[i], ...[0, 4, 12].map((y) => known.planningAgeYears[i] + 0.5 + y)];
      const failed = ages.map(() => 0);
      for (let d = 0; d < draws.draws; d++) {
        const chances = failedBy(logDensity(draws, 'weibull', i, d), Math.log(known.soundAgeYears[i]), ages);
        for (const [k, chance] of chances.entries()) failed[k] += chance / draws.draws;
      }
      const found = [forecast.failedNow[i], ...[0, 4, 12].map((y) => forecast.failedByYearEnd[21 * i + y])];
      for (const [k, chance] of found.entries()) expect(Math.abs(chance - failed[k])).toBeLessThan(2e-4);
    }
  });

  test('has rising chances and ordered quantiles, never NaN', () => {
    for (const i of stillSound) {
      const row = forecast.failedByYearEnd.subarray(21 * i, 21 * (i + 1));
      let before = forecast.failedNow[i];
      for (const chance of row) {
        expect(chance).toBeGreaterThanOrEqual(before - 1e-12);
        expect(chance).toBeLessThanOrEqual(1);
        before = chance;
      }
      expect(forecast.lowerYears[i]).toBeLessThanOrEqual(forecast.medianYears[i]);
      expect(forecast.medianYears[i]).toBeLessThanOrEqual(forecast.upperYears[i]);
    }
  });

  test('is that of the threshold model for what has no readings, or has failed, or where shares were too few', () => {
    const plain = (of: ConditionKnowledge) =>
      forecastSegments({ ...of, damageShare: new Float64Array(of.count).fill(Number.NaN) }, draws, 'weibull', {
        ...horizon,
        failureThresholdShare: TRUTH.threshold,
        damageRule: null,
      });
    const bare = { ...knowledge(withoutReadings(data)) };
    expect(forecastCondition(bare, draws, 'weibull', horizon)).toEqual(plain(bare));
    expect(forecastCondition(known, { ...draws, growth: null }, 'weibull', horizon)).toEqual(plain(known));
    const expected = plain(known);
    for (let i = 0; i < known.count; i++) {
      if (Number.isNaN(known.foundFailedAgeYears[i])) continue;
      expect(forecast.medianYears[i]).toBe(expected.medianYears[i]);
      expect(forecast.failedNow[i]).toBe(1);
    }
  });

  test('grows worse with more damage at the last look, and the same input gives the same bytes', () => {
    const worse = { ...known, readingShare: known.readingShare.map((share) => Math.min(1, 1.5 * share)) };
    const other = forecastCondition(worse, draws, 'weibull', horizon);
    for (const i of stillSound) expect(other.medianYears[i]).toBeLessThanOrEqual(forecast.medianYears[i] + 1e-6);
    expect(forecastCondition(known, draws, 'weibull', horizon)).toEqual(forecast);
  });

  test('takes shares of 0 at every look, and a full share that another look contradicts', () => {
    const only = (share: number) =>
      forecastCondition({ ...known, readingShare: known.readingShare.map(() => share) }, draws, 'weibull', horizon);
    const [clean, full] = [only(0), only(1)];
    for (const i of stillSound) {
      for (const each of [clean, full]) {
        expect(each.failedByYearEnd[21 * i + 20]).toBeGreaterThanOrEqual(0);
        expect(each.failedByYearEnd[21 * i + 20]).toBeLessThanOrEqual(1);
      }
      expect(clean.medianYears[i]).toBeGreaterThan(full.medianYears[i]);
    }
  });
});

/** Chance of failing by each age, given soundness at the start, by Simpson's rule on a fine grid. */
function failedBy(logOf: (y: number) => number, start: number, ages: readonly number[]): number[] {
  const cells = 4000;
  const high = start + 5;
  const step = (high - start) / cells;
  const logs = Array.from({ length: cells + 1 }, (_, k) => logOf(start + k * step));
  const top = Math.max(...logs);
  const values = logs.map((value) => Math.exp(value - top));
  const upTo = [0];
  for (let k = 0; k + 1 < cells; k += 2)
    upTo.push(upTo[k / 2] + (step / 3) * (values[k] + 4 * values[k + 1] + values[k + 2]));
  const total = upTo[upTo.length - 1];
  return ages.map((age) => {
    const at = (Math.log(age) - start) / (2 * step);
    const k = Math.min(Math.floor(at), upTo.length - 2);
    return (upTo[k] + (at - k) * (upTo[k + 1] - upTo[k])) / total;
  });
}

describe('draws', () => {
  test('have the mean and spread of the fit, and are the same for the same seed', () => {
    const options = { family: 'weibull' as const, prior: null, reading, draws: 400, seed: 3 };
    const many = conditionDraws(data, fit, options);
    expect(many.paretoK).toBeLessThan(0.7);
    expect(many.method).toBe('importance');
    const logs = Array.from(many.growth?.exponent ?? [], Math.log);
    const mean = logs.reduce((a, b) => a + b, 0) / logs.length;
    const sd = Math.sqrt(logs.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (logs.length - 1));
    const se = fit.growth?.logExponentSe ?? Number.NaN;
    expect(Math.abs(mean - Math.log(fit.growth?.exponent ?? 0)) / se).toBeLessThan(0.5);
    expect(sd / se).toBeGreaterThan(0.8);
    expect(sd / se).toBeLessThan(1.25);
    expect(conditionDraws(data, fit, { ...options, draws: 40, seed: 1 })).toEqual(draws);
  }, 240_000);
});
