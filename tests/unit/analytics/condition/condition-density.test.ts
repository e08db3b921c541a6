import erfc from '@stdlib/math-base-special-erfc';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type ConditionData, type ReadingModel, readingModel } from '../../../../analytics/condition/condition.ts';
import type { ConditionDensity } from '../../../../analytics/condition/condition-density.ts';
import { withConditionProblem } from '../../../../analytics/condition/fit-condition.ts';
import { prepareReadings } from '../../../../analytics/condition/prepared-readings.ts';
import { linkOf, SHARE_LINKS } from '../../../../analytics/condition/share-link.ts';
import type { AftPrior, Family } from '../../../../analytics/survival/aft.ts';
import { compress } from '../../../../analytics/survival/compress.ts';
import { logLikelihood } from '../../../../analytics/survival/log-likelihood.ts';
import { standardise } from '../../../../analytics/survival/standardise.ts';
import { simulate, withoutReadings } from './simulate.ts';

const FAMILIES = ['weibull', 'lognormal', 'loglogistic', 'exponential'] as const;
const prior: AftPrior = { means: [2.3, 0, 0], sds: [0.5, 0.35, Infinity], logScaleMean: -0.9, logScaleSd: 0.4 };

const densityOf = (data: ConditionData, family: Family, reading: ReadingModel, of: AftPrior | null = null) =>
  withConditionProblem(data, { family, prior: of, reading }, prepareReadings(data, reading), (problem) => problem);

/** Log density of W, as a textbook writes it. */
const lifeDensity: Record<Family, (z: number) => number> = {
  weibull: (z) => z - Math.exp(z),
  exponential: (z) => z - Math.exp(z),
  loglogistic: (z) => z - 2 * Math.log1p(Math.exp(z)),
  lognormal: (z) => -0.5 * z * z - 0.5 * Math.log(2 * Math.PI),
};
const lifeSurvival: Record<Family, (z: number) => number> = {
  weibull: (z) => Math.exp(-Math.exp(z)),
  exponential: (z) => Math.exp(-Math.exp(z)),
  loglogistic: (z) => 1 / (1 + Math.exp(z)),
  lognormal: (z) => 0.5 * erfc(z * Math.SQRT1_2),
};
const normalCdf = (z: number) => 0.5 * erfc(-z * Math.SQRT1_2);

interface Point {
  readonly beta: readonly number[];
  readonly sigma: number;
  readonly exponent: number;
  readonly readingSd: number;
  readonly shift: ArrayLike<number>;
}

/** The form to read: one seal's likelihood as the integral over y that the model states, by Simpson's rule. */
function sealLogLikelihood(data: ConditionData, i: number, family: Family, model: ReadingModel, point: Point): number {
  const { beta, sigma, exponent, readingSd, shift } = point;
  const mu = beta[0] + beta[1] * data.covariates[2 * i] + beta[2] * data.covariates[2 * i + 1];
  const survivalAt = (age: number) => (age === 0 ? 1 : lifeSurvival[family]((Math.log(age) - mu) / sigma));
  const atThreshold = linkOf(model.link, model.failureThresholdShare);
  const readings = Array.from({ length: data.readingStart[i + 1] - data.readingStart[i] }, (_, k) => {
    const r = data.readingStart[i] + k;
    const [age, share, inspector] = [data.readingAge[r], data.readingShare[r], data.readingInspector[r]];
    const at = Math.min(Math.max(share, model.detectionLimitShare), model.fullLimitShare);
    const ageOverLife = Math.exp((linkOf(model.link, at) - atThreshold) / 2.5);
    const sd = Math.hypot(readingSd, ((exponent * (data.readingAgeSd?.[r] ?? 0)) / age) * (1 - ageOverLife));
    const centre = atThreshold + exponent * Math.log(age) + (inspector < 0 ? 0 : shift[inspector]);
    return { sd, share, above: linkOf(model.link, at) - centre };
  });
  const integrand = (y: number): number => {
    let value = Math.exp(lifeDensity[family]((y - mu) / sigma)) / sigma;
    for (const { sd, share, above } of readings) {
      const z = (above + exponent * y) / sd;
      if (share <= model.detectionLimitShare) value *= normalCdf(z);
      else if (share >= model.fullLimitShare) value *= normalCdf(-z);
      else value *= Math.exp(-0.5 * z * z) / (sd * Math.sqrt(2 * Math.PI));
    }
    return value;
  };
  const low = Math.max(Math.log(data.lower[i]), mu - 40 * sigma, -16);
  const high = Math.min(Math.log(data.upper[i]), mu + 40 * sigma, 12);
  return Math.log(simpson(integrand, low, high, 8000) / survivalAt(data.entry[i]));
}

function simpson(f: (x: number) => number, low: number, high: number, cells: number): number {
  const step = (high - low) / cells;
  let sum = f(low) + f(high);
  for (let k = 1; k < cells; k++) sum += (k % 2 ? 4 : 2) * f(low + k * step);
  return (sum * step) / 3;
}

const logLikelihoodAt = (density: ConditionDensity, theta: Float64Array): number =>
  density.value(theta) - density.logPrior(theta);

/** theta that stands for a point, in standardised coefficients found by trying. */
function thetaOf(density: ConditionDensity, point: Point, design: { back: Float64Array; shift: Float64Array }) {
  const { places } = density;
  const theta = new Float64Array(places.size);
  // Three coefficients, all kept: solve back x theta = beta - shift by Cramer's rule on the triangular form (intercept last).
  for (let k = 1; k < 3; k++) theta[k] = (point.beta[k] - design.shift[k]) / design.back[k * 3 + k];
  theta[0] = point.beta[0] - design.shift[0];
  for (let k = 1; k < 3; k++) theta[0] -= design.back[k] * theta[k];
  if (places.logSigma >= 0) theta[places.logSigma] = Math.log(point.sigma);
  theta[places.logExponent] = Math.log(point.exponent);
  theta[places.logReadingSd] = Math.log(point.readingSd);
  theta.set(point.shift as Float64Array, places.firstShift);
  return theta;
}

const points = fc.record({
  beta: fc.tuple(
    fc.double({ min: 2, max: 2.8, noNaN: true }),
    fc.double({ min: -0.3, max: 0.5, noNaN: true }),
    fc.double({ min: -0.3, max: 0.3, noNaN: true }),
  ),
  sigma: fc.double({ min: 0.25, max: 0.8, noNaN: true }),
  exponent: fc.double({ min: 1.2, max: 4, noNaN: true }),
  readingSd: fc.double({ min: 0.15, max: 0.8, noNaN: true }),
  family: fc.constantFrom(...FAMILIES),
  link: fc.constantFrom(...SHARE_LINKS),
  seed: fc.integer({ min: 1, max: 1000 }),
});

describe('the marginal likelihood', () => {
  test('without shares it is the threshold model’s, row for row', () => {
    for (const family of FAMILIES) {
      const data = withoutReadings(simulate({ seed: 3, seals: 200, family }).data);
      const { design, density } = densityOf(data, family, readingModel(0.1));
      const sigma = family === 'exponential' ? 1 : 0.45;
      const theta = thetaOf(density, { beta: [2.3, 0.2, -0.1], sigma, exponent: 2, readingSd: 0.4, shift: [] }, design);
      const threshold = logLikelihood(standardise(compress(data), null), family);
      const expected = threshold.value(
        theta.subarray(0, 3).map((b) => b / sigma),
        1 / sigma,
      );
      expect(Math.abs(logLikelihoodAt(density, theta) - expected) / Math.abs(expected)).toBeLessThan(1e-12);
    }
  });

  test('with shares it is the integral that the model states, to 2e-7 a seal', () => {
    fc.assert(
      fc.property(points, ({ family, link, seed, ...rest }) => {
        const { data, shift } = simulate({ seed, seals: 6, link, ageErrorYears: seed % 2 ? 0.4 : 0 });
        const model = readingModel(0.1, { link });
        const { design, density } = densityOf(data, family, model);
        const point = { ...rest, sigma: family === 'exponential' ? 1 : rest.sigma, shift };
        let expected = 0;
        for (let i = 0; i < 6; i++) expected += sealLogLikelihood(data, i, family, model, point);
        const found = logLikelihoodAt(density, thetaOf(density, point, design));
        expect(Math.abs(found - expected)).toBeLessThan(6 * 2e-7);
      }),
      { seed: 1, numRuns: 30 },
    );
  });

  test('an exact age needs no integral: density of the age times densities of the readings', () => {
    const { data } = simulate({ seed: 5, seals: 6 });
    const age = 9.5;
    const exact = {
      ...data,
      entry: new Float64Array(6),
      lower: data.lower.map(() => age),
      upper: data.upper.map(() => age),
    };
    const model = readingModel(0.1);
    const { design, density } = densityOf(exact, 'weibull', model);
    const point = { beta: [2.3, 0.2, -0.1], sigma: 0.4, exponent: 2.2, readingSd: 0.3, shift: new Float64Array(6) };
    let expected = 0;
    for (let i = 0; i < 6; i++) {
      const narrow = {
        ...exact,
        lower: exact.lower.map(() => age * (1 - 1e-7)),
        upper: exact.upper.map(() => age * (1 + 1e-7)),
      };
      expected += sealLogLikelihood(narrow, i, 'weibull', model, point) - Math.log(2e-7 * age);
    }
    expect(logLikelihoodAt(density, thetaOf(density, point, design))).toBeCloseTo(expected, 5);
  });
});

describe('gradient and Hessian', () => {
  test('agree with central differences for every family, link, censoring and age error', () => {
    fc.assert(
      fc.property(points, fc.boolean(), ({ family, link, seed, ...rest }, withPrior) => {
        const { data, shift } = simulate({ seed, seals: 40, link, ageErrorYears: seed % 2 ? 0.4 : 0 });
        const band = seed % 3 === 0 ? 0.005 : 0;
        const { design, density } = densityOf(
          data,
          family,
          readingModel(0.1, { link, thresholdBandShare: band }),
          withPrior ? prior : null,
        );
        const theta = thetaOf(density, { ...rest, shift }, design);
        checkDerivatives(density, theta);
      }),
      { seed: 2, numRuns: 25 },
    );
  });
});

function checkDerivatives(density: ConditionDensity, theta: Float64Array): void {
  const n = theta.length;
  const at = (point: Float64Array) => {
    const gradient = new Float64Array(n);
    const hessian = new Float64Array(n * n);
    const value = density.derivatives(point, gradient, hessian);
    return { value, gradient, hessian };
  };
  const here = at(theta);
  expect(Math.abs(here.value - density.value(theta))).toBeLessThan(1e-9 * (1 + Math.abs(here.value)));
  const step = 2e-4;
  for (let j = 0; j < n; j++) {
    const moved = (by: number) => at(theta.map((value, k) => (k === j ? value + by : value)));
    const [up, down] = [moved(step), moved(-step)];
    const slope = (up.value - down.value) / (2 * step);
    const size = Math.sqrt(Math.abs(here.hessian[j * n + j])) + 1;
    expect(Math.abs(here.gradient[j] - slope)).toBeLessThan(1e-4 * (size + Math.abs(slope)));
    for (let k = 0; k < n; k++) {
      const curvature = (up.gradient[k] - down.gradient[k]) / (2 * step);
      const scale = 1 + Math.sqrt(Math.abs(here.hessian[j * n + j] * here.hessian[k * n + k]));
      expect(Math.abs(here.hessian[j * n + k] - curvature)).toBeLessThan(1e-3 * scale);
    }
  }
}
