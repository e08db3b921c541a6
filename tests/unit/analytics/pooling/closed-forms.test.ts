import { describe, expect, test } from 'vitest';
import { invertPositiveDefinite } from '../../../../analytics/numeric/cholesky.ts';
import { seededRandom } from '../../../../analytics/numeric/seeded-normals.ts';
import { fitPooled, type Grouping } from '../../../../analytics/pooling/fit-pooled.ts';
import { modeFinder } from '../../../../analytics/pooling/penalised-mode.ts';
import { poolRows } from '../../../../analytics/pooling/pooled-rows.ts';
import type { AftData } from '../../../../analytics/survival/aft.ts';
import { familyTerms } from '../../../../analytics/survival/row-terms.ts';
import { originalCoefficients } from '../../../../analytics/survival/standardise.ts';

/** Exact lives, so that the log-normal model is the normal linear mixed model of textbooks. */
const exactLives = (logLives: readonly number[], x: readonly number[] | null): AftData => ({
  entry: new Float64Array(logLives.length),
  lower: Float64Array.from(logLives, Math.exp),
  upper: Float64Array.from(logLives, Math.exp),
  weight: new Float64Array(logLives.length).fill(1),
  covariates: Float64Array.from(x ?? []),
  names: x ? ['x'] : [],
  intercept: true,
});

const close = (found: number, expected: number, tolerance: number): void => {
  expect(Math.abs(found - expected)).toBeLessThan(tolerance * Math.max(1, Math.abs(expected)));
};

describe('one way, balanced, nothing censored', () => {
  // 6 lots of 5 log lives each: between- and within-lot mean squares give the restricted estimates in closed form
  // (Searle, Casella and McCulloch, Variance Components, 1992, section 4.2).
  const random = seededRandom(11);
  const lots = 6;
  const each = 5;
  const shifts = Array.from({ length: lots }, () => 0.4 * random.normal());
  const logs = Array.from({ length: lots * each }, (_, i) => 2 + shifts[Math.floor(i / each)] + 0.3 * random.normal());
  const means = shifts.map((_, l) => logs.slice(l * each, (l + 1) * each).reduce((a, b) => a + b, 0) / each);
  const grand = means.reduce((a, b) => a + b, 0) / lots;
  const between = (each * means.reduce((sum, m) => sum + (m - grand) ** 2, 0)) / (lots - 1);
  const within = logs.reduce((sum, y, i) => sum + (y - means[Math.floor(i / each)]) ** 2, 0) / (lots * (each - 1));
  const variance = (between - within) / each;
  const grouping: Grouping = {
    name: 'lot',
    index: Int32Array.from(logs, (_, i) => Math.floor(i / each)),
    levels: shifts.map((_, l) => `L${l}`),
  };
  const fit = fitPooled(exactLives(logs, null), [grouping], { family: 'lognormal', prior: null, spreadPrior: null });

  test('sigma, spread and mean', () => {
    close(fit.scale, Math.sqrt(within), 1e-4);
    close(fit.groupings[0].sd ?? 0, Math.sqrt(variance), 1e-4);
    close(fit.coefficients[0], grand, 1e-6);
  });

  test('effects shrink by sd² / (sd² + sigma² / n)', () => {
    const shrinkage = variance / (variance + within / each);
    means.forEach((mean, l) => {
      close(fit.groupings[0].levels[l].effect ?? 0, shrinkage * (mean - grand), 1e-4);
    });
  });

  test('standard errors are at least those with known spread, and near them', () => {
    const shrinkage = variance / (variance + within / each);
    const known = (1 - shrinkage) * variance + (shrinkage ** 2 * (variance + within / each)) / lots;
    for (const { standardError } of fit.groupings[0].levels) {
      expect(standardError ?? 0).toBeGreaterThan(Math.sqrt(known) * 0.999);
      expect(standardError ?? 0).toBeLessThan(Math.sqrt(known) * 1.3);
    }
  });

  test('unrestricted, the marginal likelihood is that of the multivariate normal', () => {
    const free = fitPooled(exactLives(logs, null), [grouping], {
      family: 'lognormal',
      prior: null,
      spreadPrior: null,
      restricted: false,
    });
    const sigma2 = free.scale ** 2;
    const sd2 = (free.groupings[0].sd ?? 0) ** 2;
    // Within a lot the covariance is sigma² I + sd² J, with determinant sigma^(2(n-1)) (sigma² + n sd²).
    let expected = -logs.reduce((a, b) => a + b, 0);
    for (let l = 0; l < lots; l++) {
      const rest = logs.slice(l * each, (l + 1) * each).map((y) => y - free.coefficients[0]);
      const sum = rest.reduce((a, b) => a + b, 0);
      const squares = rest.reduce((a, b) => a + b * b, 0);
      const quadratic = (squares - (sd2 * sum * sum) / (sigma2 + each * sd2)) / sigma2;
      const logDeterminant = (each - 1) * Math.log(sigma2) + Math.log(sigma2 + each * sd2);
      expected -= 0.5 * (each * Math.log(2 * Math.PI) + logDeterminant + quadratic);
    }
    close(free.marginalLogLikelihood ?? 0, expected, 1e-9);
  });
});

describe('two crossed groupings, a covariate and rows of unknown lot, for a known spread', () => {
  const random = seededRandom(5);
  const n = 60;
  const lotOf = Int32Array.from({ length: n }, () => Math.floor(random.uniform() * 8) - 1);
  const crewOf = Int32Array.from({ length: n }, () => Math.floor(random.uniform() * 3));
  const x = Array.from({ length: n }, () => 3 + 2 * random.normal());
  const logs = x.map((v, i) => 1.5 + 0.1 * v + 0.2 * crewOf[i] + 0.1 * lotOf[i] + 0.3 * random.normal());
  const sigma = 0.35;
  const sds = [0.25, 0.4];
  const groupings: Grouping[] = [
    { name: 'crew', index: crewOf, levels: ['a', 'b', 'c'] },
    { name: 'lot', index: lotOf, levels: ['1', '2', '3', '4', '5', '6', '7', 'never used'] },
  ];
  const rows = poolRows(exactLives(logs, x), groupings, null);
  const finder = modeFinder(rows, familyTerms('lognormal'), null, false);
  const mode = finder.find({ logSigma: Math.log(sigma), sds }, new Float64Array(13));
  if (!mode) throw new Error('no mode');

  // Henderson's mixed-model equations, dense: intercept, x, 3 crews, 8 lots.
  const size = 13;
  const design = logs.map((_, i) => {
    const row = new Float64Array(size);
    row[0] = 1;
    row[1] = x[i];
    row[2 + crewOf[i]] = 1;
    if (lotOf[i] >= 0) row[5 + lotOf[i]] = 1;
    return row;
  });
  const information = new Float64Array(size * size);
  const right = new Float64Array(size);
  design.forEach((row, i) => {
    for (let j = 0; j < size; j++) {
      right[j] += (row[j] * logs[i]) / sigma ** 2;
      for (let k = 0; k < size; k++) information[j * size + k] += (row[j] * row[k]) / sigma ** 2;
    }
  });
  for (let j = 2; j < size; j++) information[j * size + j] += 1 / sds[j < 5 ? 0 : 1] ** 2;
  const inverse = invertPositiveDefinite(information, size) ?? new Float64Array(0);
  const solution = right.map((_, j) => right.reduce((sum, r, k) => sum + inverse[j * size + k] * r, 0));

  test('effects and coefficients are best linear unbiased predictions', () => {
    for (let l = 0; l < 11; l++) close(mode.at[l], solution[2 + l], 1e-8);
    const coefficients = originalCoefficients(rows.design, mode.at.subarray(11));
    close(coefficients[0], solution[0], 1e-8);
    close(coefficients[1], solution[1], 1e-8);
  });

  test('so are their variances', () => {
    const variances = finder.variances();
    for (let l = 0; l < 11; l++) close(variances[l], inverse[(2 + l) * (size + 1)], 1e-8);
    // Standardised slope of x: its variance times that of x.
    const back = rows.design.back;
    const covariance = finder.coefficientCovariance();
    let slope = 0;
    for (let a = 0; a < 2; a++) for (let b = 0; b < 2; b++) slope += back[2 + a] * covariance[a * 2 + b] * back[2 + b];
    close(slope, inverse[size + 1], 1e-8);
  });

  test('and the determinant', () => {
    // Dividing x by its standard deviation divides its row and column of the information by it.
    const spread = 1 / rows.design.back[3];
    const expected = 2 * choleskyDiagonal(information, size).reduce((sum, d) => sum + Math.log(d), 0);
    close(mode.logDeterminant, expected - 2 * Math.log(spread), 1e-8);
  });
});

function choleskyDiagonal(matrix: Float64Array, n: number): number[] {
  const factor = Array.from({ length: n }, () => new Float64Array(n));
  for (let j = 0; j < n; j++)
    for (let i = j; i < n; i++) {
      let sum = matrix[i * n + j];
      for (let k = 0; k < j; k++) sum -= factor[i][k] * factor[j][k];
      factor[i][j] = i === j ? Math.sqrt(sum) : sum / factor[j][j];
    }
  return factor.map((row, j) => row[j]);
}

test('Laplace’s method is near the integral over a lot’s effect where lives are known to intervals', () => {
  const random = seededRandom(3);
  const rows = 60;
  const index = Int32Array.from({ length: rows }, (_, i) => i % 5);
  const lives = Array.from({ length: rows }, (_, i) =>
    Math.exp(2.3 + 0.3 * ((i % 5) - 2) * 0.5 + 0.4 * Math.log(-Math.log(1 - random.uniform()))),
  );
  const lower = Float64Array.from(lives, (t) => Math.min(12, 3 * Math.floor(t / 3)));
  const data: AftData = {
    ...exactLives(new Array<number>(rows).fill(0), null),
    lower,
    upper: lower.map((t) => (t === 12 ? Infinity : t + 3)),
  };
  const sd = 0.3;
  const fit = fitPooled(data, [{ name: 'lot', index, levels: ['a', 'b', 'c', 'd', 'e'] }], {
    family: 'weibull',
    prior: null,
    fixedSds: [sd],
    restricted: false,
  });
  const mu = fit.coefficients[0];
  const sound = (age: number, effect: number): number =>
    age === 0 ? 1 : age === Infinity ? 0 : Math.exp(-((age / Math.exp(mu + effect)) ** (1 / fit.scale)));
  let expected = 0;
  for (let l = 0; l < 5; l++) {
    const likelihoodAt = (effect: number): number => {
      let log = -0.5 * (effect / sd) ** 2 - Math.log(sd * Math.sqrt(2 * Math.PI));
      for (let i = l; i < rows; i += 5) log += Math.log(sound(lower[i], effect) - sound(data.upper[i], effect));
      return Math.exp(log);
    };
    let integral = 0;
    const step = 0.002;
    for (let effect = -2; effect < 2; effect += step) integral += step * likelihoodAt(effect + step / 2);
    expected += Math.log(integral);
  }
  // The error of Laplace's method falls with the number of seals of a lot, here 12.
  expect(Math.abs((fit.marginalLogLikelihood ?? 0) - expected)).toBeLessThan(0.05);
});
