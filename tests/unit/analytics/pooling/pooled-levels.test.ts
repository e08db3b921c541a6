import { describe, expect, test } from 'vitest';
import { fitPooled } from '../../../../analytics/pooling/fit-pooled.ts';
import { withLevelDraws } from '../../../../analytics/pooling/level-draws.ts';
import { posteriorDraws } from '../../../../analytics/survival/posterior.ts';
import { PRIOR, poolAges, type Simulated, simulateLevels, TRUE_MEDIANS, TRUE_SIGMA } from './simulated-levels.ts';

const DISTRICT = { name: 'district', levels: 8, sd: 0.2 };
const LOT = { name: 'lot', levels: 60, sd: 0.15 };
const DATA_SETS = 16;
const ROWS = 1200;

function pooled({ data, groupings }: Pick<Simulated, 'data' | 'groupings'>) {
  const found = poolAges(data, groupings);
  if (!found) throw new Error('too little to compare levels by');
  return found;
}

const spreadOf = (values: Float64Array) => Math.sqrt(values.reduce((sum, v) => sum + v * v, 0) / values.length);

function drawn(simulated: Simulated, seed: number, draws = 400) {
  const found = pooled(simulated);
  if (!found.pooled) return null;
  const { fit, quadratic, peak, effects, freedom } = found.pooled;
  const groupings = found.choices.flatMap(({ name, used, sd, logSdSe }, grouping) =>
    used ? [{ name, grouping, sd: sd ?? 0, logSdSe: logSdSe ?? 0, levels: simulated.groupings[grouping].levels }] : [],
  );
  const conditional = posteriorDraws(fit.rows, fit.life, PRIOR, { draws, seed });
  return {
    ...found,
    conditional,
    ...withLevelDraws(conditional, {
      ...{ quadratic, peak, effects, freedom, covariance: fit.life.covariance, seed: seed + 1 },
      groupings: groupings.map((grouping) => ({ ...grouping, unknownLevels: 2, ofSeal: grouping.name === 'lot' })),
    }),
  };
}

describe('effects of levels from simulated lives with known truth', () => {
  const runs = Array.from({ length: DATA_SETS }, (_, k) => {
    const simulated = simulateLevels(100 + k, ROWS, [DISTRICT, LOT]);
    return { simulated, found: drawn(simulated, 7 + k) };
  });

  test('spreads are those of the true effects within Monte Carlo error', () => {
    for (const [g, { name, sd: truth }] of [DISTRICT, LOT].entries()) {
      const ratios = runs.map(({ simulated, found }) => {
        const choice = found?.choices.find((each) => each.name === name);
        return Math.log((choice?.sd || 0.02) / spreadOf(simulated.effects[g]));
      });
      const mean = ratios.reduce((sum, r) => sum + r, 0) / ratios.length;
      const error = Math.sqrt(ratios.reduce((sum, r) => sum + (r - mean) ** 2, 0) / ratios.length ** 2);
      // Laplace's approximation about one fit is known to fall a little short: five hundredths at most here.
      expect(Math.abs(mean)).toBeLessThan(3 * error + 0.05);
      expect(truth * Math.exp(mean)).toBeGreaterThan(0.1);
    }
  });

  test('80 % intervals of drawn effects hold the true ones, 74 to 86 of a hundred', () => {
    let [inside, all] = [0, 0];
    for (const { simulated, found } of runs)
      for (const { name, levels, effects, sd } of found?.groupings ?? []) {
        const g = name === 'district' ? 0 : 1;
        const truth = simulated.effects[g];
        for (let l = 0; l < levels.length; l++) {
          const values = Float64Array.from(effects.subarray(l * sd.length, (l + 1) * sd.length)).sort();
          all++;
          inside += Number(
            values[Math.floor(sd.length * 0.1)] <= truth[l] && truth[l] <= values[Math.floor(sd.length * 0.9)],
          );
        }
      }
    expect(all).toBeGreaterThan(800);
    expect(inside / all).toBeGreaterThan(0.74);
    expect(inside / all).toBeLessThan(0.86);
  });

  test('medians of classes are the true ones, and sigma is what is left within levels', () => {
    const means = [0, 0];
    let sigma = 0;
    for (const { found } of runs) {
      if (!found) throw new Error('no effects found');
      const { draws, coefficients, scale } = found.draws;
      for (let d = 0; d < draws; d++) {
        for (const c of [0, 1])
          means[c] +=
            (coefficients[d * 3 + c] + scale[d] * Math.log(Math.LN2) - Math.log(TRUE_MEDIANS[c])) / draws / DATA_SETS;
        sigma += scale[d] / draws / DATA_SETS;
      }
    }
    // Eight districts of SD 0.2 leave their mean uncertain by 0.2 / sqrt(8 x 16) = 0.018 over all data sets.
    for (const mean of means) expect(Math.abs(mean)).toBeLessThan(0.055);
    // Some 600 failures in each of 16 data sets: sigma is known to 0.78 / sqrt(9600) = 0.8 %.
    expect(Math.abs(sigma / TRUE_SIGMA - 1)).toBeLessThan(0.025);
  });

  test('draws of what districts share widen with them: coefficients fall where effects are high', () => {
    const { found } = runs[0];
    if (!found) throw new Error('no effects found');
    const district = found.groupings.find(({ name }) => name === 'district');
    if (!district) throw new Error('no districts found');
    const n = found.draws.draws;
    const meanEffect = Float64Array.from({ length: n }, (_, d) => {
      let sum = 0;
      for (let l = 0; l < district.levels.length; l++) sum += district.effects[l * n + d] / district.levels.length;
      return sum;
    });
    const level = Float64Array.from(
      { length: n },
      (_, d) => (found.draws.coefficients[d * 3] + found.draws.coefficients[d * 3 + 1]) / 2,
    );
    const before = Float64Array.from(
      { length: n },
      (_, d) => (found.conditional.coefficients[d * 3] + found.conditional.coefficients[d * 3 + 1]) / 2,
    );
    expect(correlation(meanEffect, level)).toBeLessThan(-0.8);
    expect(sdOf(level)).toBeGreaterThan(2 * sdOf(before));
    // What the data say of the districts on record is known far better than either by itself.
    expect(sdOf(level.map((value, d) => value + meanEffect[d]))).toBeLessThan(0.6 * sdOf(level));
  });

  test('unknown levels are drawn from the spread among levels', () => {
    const lots = runs.flatMap(({ found }) => found?.groupings.filter(({ name }) => name === 'lot') ?? []);
    for (const { levels, unknownLevels, effects, sd } of lots.slice(0, 4)) {
      const values = effects.subarray(levels.length * sd.length, (levels.length + unknownLevels) * sd.length);
      const spread = Math.sqrt(values.reduce((sum, v) => sum + v * v, 0) / values.length);
      const expected = Math.sqrt(sd.reduce((sum, v) => sum + v * v, 0) / sd.length);
      expect(Math.abs(spread / expected - 1)).toBeLessThan(0.12);
    }
  });
});

test('levels that do not differ are left out at the rate that the test allows', () => {
  let used = 0;
  for (let k = 0; k < 24; k++) {
    const simulated = simulateLevels(
      500 + k,
      800,
      [DISTRICT, LOT].map((grouping) => ({ ...grouping, sd: 0 })),
    );
    const { choices, pooled: effects } = pooled(simulated);
    used += choices.filter((choice) => choice.used).length;
    if (!choices.some((choice) => choice.used)) expect(effects).toBeNull();
  }
  // 48 tests at 5 %: more than 7 would be seen once in a hundred times.
  expect(used).toBeLessThanOrEqual(7);
});

test('spreads agree with those of the full Laplace fit to a tenth', () => {
  const { data, groupings } = simulateLevels(3, 2000, [DISTRICT, LOT]);
  const full = fitPooled(data, groupings, { family: 'weibull', prior: PRIOR, spreadPrior: null });
  for (const [g, { sd }] of pooled({ data, groupings }).choices.entries())
    expect(Math.abs((sd ?? 0) / (full.groupings[g].sd ?? 1) - 1)).toBeLessThan(0.1);
});

test('with too few failures nothing is compared, and with one level there is nothing to', () => {
  expect(poolAges(...of(simulateLevels(1, 40, [DISTRICT])))).toBeNull();
  const { choices } = pooled(simulateLevels(1, 600, [{ ...DISTRICT, levels: 1 }, LOT]));
  expect(choices[0]).toMatchObject({ used: false, sd: null, gain: 0 });
});

const of = ({ data, groupings }: Simulated) => [data, groupings] as const;

function sdOf(values: Float64Array): number {
  const mean = values.reduce((sum, v) => sum + v, 0) / values.length;
  return Math.sqrt(values.reduce((sum, v) => sum + (v - mean) ** 2, 0) / values.length);
}

function correlation(a: Float64Array, b: Float64Array): number {
  const [meanA, meanB] = [a, b].map((values) => values.reduce((sum, v) => sum + v, 0) / values.length);
  const product = a.reduce((sum, v, i) => sum + (v - meanA) * (b[i] - meanB), 0) / a.length;
  return product / (sdOf(a) * sdOf(b));
}
