import { describe, expect, test } from 'vitest';
import { seededRandom } from '../../../../analytics/numeric/seeded-normals.ts';
import type { AftData, AftPrior, PosteriorDraws } from '../../../../analytics/survival/aft.ts';
import { fitAft } from '../../../../analytics/survival/fit-aft.ts';
import { posteriorDraws } from '../../../../analytics/survival/posterior.ts';

/** Forty seals each seen once, at ages from 4 to 12; the ones asked for were found failed. */
function seenOnce(failed: readonly number[]): AftData {
  const ages = Float64Array.from({ length: 40 }, (_, i) => 4 + (8 * i) / 39);
  const isFailed = (i: number): boolean => failed.includes(i);
  return {
    entry: new Float64Array(40),
    lower: ages.map((age, i) => (isFailed(i) ? 0 : age)),
    upper: ages.map((age, i) => (isFailed(i) ? age : Infinity)),
    weight: new Float64Array(40).fill(1),
    covariates: new Float64Array(0),
    names: [],
    intercept: true,
  };
}

/** Characteristic life about 15 years, within a factor 2.7; shape about 2.5, 1.1 to 5.5. */
const prior: AftPrior = { means: [Math.log(15)], sds: [0.5], logScaleMean: -Math.log(2.5), logScaleSd: 0.4 };

/** Chance of failing within five years, sound at nine. */
const soonFailing = (mu: number, shape: number): number =>
  -Math.expm1((9 / Math.exp(mu)) ** shape - (14 / Math.exp(mu)) ** shape);

/** Quantiles of that chance by brute force: prior times likelihood on a fine grid. */
function byQuadrature(data: AftData, shares: readonly number[]): number[] {
  const points = 301;
  const cells: { chance: number; weight: number }[] = [];
  for (let a = 0; a < points; a++) {
    for (let b = 0; b < points; b++) {
      const mu = Math.log(15) - 2.5 + (6 * a) / (points - 1);
      const logShape = Math.log(2.5) - 2 + (4 * b) / (points - 1);
      const shape = Math.exp(logShape);
      let log = -0.5 * ((mu - Math.log(15)) / 0.5) ** 2 - 0.5 * ((logShape - Math.log(2.5)) / 0.4) ** 2;
      for (let i = 0; i < 40; i++) {
        const failed = data.upper[i] < Infinity;
        const hazard = ((failed ? data.upper[i] : data.lower[i]) / Math.exp(mu)) ** shape;
        log += failed ? Math.log(-Math.expm1(-hazard)) : -hazard;
      }
      cells.push({ chance: soonFailing(mu, shape), weight: Math.exp(log + 40) });
    }
  }
  cells.sort((p, q) => p.chance - q.chance);
  const total = cells.reduce((sum, cell) => sum + cell.weight, 0);
  return shares.map((share) => {
    let reached = 0;
    for (const cell of cells) {
      reached += cell.weight;
      if (reached >= share * total) return cell.chance;
    }
    return Number.NaN;
  });
}

const quantilesOf = (draws: PosteriorDraws, shares: readonly number[]): number[] => {
  const sorted = Float64Array.from(draws.scale, (scale, k) => soonFailing(draws.coefficients[k], 1 / scale)).sort();
  return shares.map((share) => sorted[Math.floor(share * sorted.length)]);
};

describe('few failures: draws against brute-force quadrature of the same posterior', () => {
  const cases: Record<string, readonly number[]> = {
    'no failure': [],
    'one failure': [25],
    'two failures': [20, 33],
    'five failures': [12, 20, 28, 33, 38],
  };
  for (const [name, failed] of Object.entries(cases)) {
    test(name, () => {
      const data = seenOnce(failed);
      const fit = fitAft(data, { family: 'weibull', prior });
      expect(fit.converged).toBe(true);
      expect(fit.status).toBe(failed.length === 0 ? 'no-events' : 'weak');
      const draws = posteriorDraws(data, fit, prior, { draws: 4000, seed: 1 });
      expect(draws.paretoK).toBeLessThan(0.7);
      // 40,000 proposals, of which well over half count.
      expect(draws.effectiveSampleSize).toBeGreaterThan(20_000);
      const shares = [0.05, 0.5, 0.95];
      const found = quantilesOf(draws, shares);
      byQuadrature(data, shares).forEach((expected, k) => {
        // Four standard errors of a quantile of 4000 draws, in units of the share.
        expect(Math.abs(found[k] - expected)).toBeLessThan(0.05 * expected + 0.003);
      });
    });
  }
});

test('the same seed gives the same draws, bit for bit, and another seed others', () => {
  const data = seenOnce([20, 33]);
  const fit = fitAft(data, { family: 'lognormal', prior });
  const draw = (seed: number) => posteriorDraws(data, fit, prior, { draws: 100, seed });
  expect(draw(7)).toEqual(draw(7));
  expect(draw(7).scale).not.toEqual(draw(8).scale);
});

test('a class without a row keeps its prior', () => {
  const data = seenOnce([12, 20, 28, 33, 38]);
  const twoClasses: AftData = {
    ...data,
    names: ['hot-applied', 'silicone'],
    covariates: Float64Array.from({ length: 80 }, (_, k) => (k % 2 === 0 ? 1 : 0)),
    intercept: false,
  };
  const classPrior = { ...prior, means: [Math.log(15), Math.log(25)], sds: [0.5, 0.3] };
  const fit = fitAft(twoClasses, { family: 'weibull', prior: classPrior });
  expect(fit.droppedNames).toEqual([]);
  expect(fit.coefficients[1]).toBeCloseTo(Math.log(25), 10);
  expect(Math.sqrt(fit.covariance?.[4] ?? 0)).toBeCloseTo(0.3, 10);
  const draws = posteriorDraws(twoClasses, fit, classPrior, { draws: 4000, seed: 1 });
  const second = Float64Array.from({ length: 4000 }, (_, k) => draws.coefficients[2 * k + 1]);
  const mean = second.reduce((sum, v) => sum + v, 0) / 4000;
  const sd = Math.sqrt(second.reduce((sum, v) => sum + (v - mean) ** 2, 0) / 4000);
  expect(mean).toBeCloseTo(Math.log(25), 1);
  expect(Math.abs(sd / 0.3 - 1)).toBeLessThan(0.06);
});

test('the exponential draws coefficients alone', () => {
  const data = seenOnce([12, 20, 28]);
  const fit = fitAft(data, { family: 'exponential', prior });
  const draws = posteriorDraws(data, fit, prior, { draws: 50, seed: 1 });
  expect(draws.scale.every((scale) => scale === 1)).toBe(true);
  expect(draws.coefficients).toHaveLength(50);
});

test('many rows and many failures take normal draws after a check, with the covariance of the fit', () => {
  const random = seededRandom(3);
  const rows = 14_000;
  const data: AftData = {
    entry: new Float64Array(rows),
    lower: new Float64Array(rows),
    upper: new Float64Array(rows),
    weight: new Float64Array(rows).fill(1),
    covariates: Float64Array.from({ length: rows }, random.normal),
    names: ['cold'],
    intercept: true,
  };
  for (let i = 0; i < rows; i++) {
    const life = Math.exp(2.5 - 0.2 * data.covariates[i] + 0.4 * Math.log(-Math.log1p(-random.uniform())));
    const look = 1 + 14 * random.uniform();
    data.lower[i] = life <= look ? 0 : look;
    data.upper[i] = life <= look ? look : Infinity;
  }
  const fit = fitAft(data, { family: 'weibull', prior: null });
  expect(Math.abs(fit.coefficients[1] + 0.2)).toBeLessThan(0.03);
  const draws = posteriorDraws(data, fit, null, { draws: 2000, seed: 1 });
  expect(draws.method).toBe('laplace');
  expect(draws.effectiveSampleSize).toBeGreaterThan(1000);
  const spread = Math.sqrt(
    draws.scale.reduce((sum, scale) => sum + (Math.log(scale) - Math.log(fit.scale)) ** 2, 0) / 2000,
  );
  expect(Math.abs(spread / Math.sqrt(fit.covariance?.[8] ?? 0) - 1)).toBeLessThan(0.08);
});

test('a fit that did not converge gives no draws', () => {
  const data = seenOnce([]);
  const fit = fitAft(data, { family: 'weibull', prior: null });
  expect(() => posteriorDraws(data, fit, null, { draws: 10, seed: 1 })).toThrow(
    'Draws need a fit that converged; this one is no-events',
  );
});
