import { describe, expect, test } from 'vitest';
import type { AftData, Family } from '../../../../analytics/survival/aft.ts';
import { fitAft } from '../../../../analytics/survival/fit-aft.ts';

/** Failures and withdrawals at exact ages. */
const lives = (failed: readonly number[], sound: readonly number[]): AftData => ({
  entry: new Float64Array(failed.length + sound.length),
  lower: Float64Array.of(...failed, ...sound),
  upper: Float64Array.of(...failed, ...sound.map(() => Infinity)),
  weight: new Float64Array(failed.length + sound.length).fill(1),
  covariates: new Float64Array(0),
  names: [],
  intercept: true,
});

const fitTo = (data: AftData, family: Family = 'weibull') => {
  const found = fitAft(data, { family, prior: null });
  return { ...found, life: Math.exp(found.coefficients[0]), shape: 1 / found.scale };
};

describe('NIST/SEMATECH e-Handbook 8.4.1.3: ten failures and ten withdrawals at 500 h', () => {
  // https://www.itl.nist.gov/div898/handbook/apr/section4/apr413.htm prints 606.5280, 1.7208, -75.135, AIC 154.27.
  const test413 = lives([54, 187, 216, 240, 244, 335, 361, 373, 375, 386], Array<number>(10).fill(500));

  test('Weibull', () => {
    const found = fitTo(test413);
    expect(Math.abs(found.life - 606.528)).toBeLessThan(1e-3);
    expect(found.shape.toFixed(4)).toBe('1.7208');
    expect(found.logLikelihood.toFixed(3)).toBe('-75.135');
    expect((4 - 2 * found.logLikelihood).toFixed(2)).toBe('154.27');
    // Recomputed with R's survival: standard errors .20594 and .29181, covariance .027128.
    expect(Math.sqrt(found.covariance?.[0] ?? 0).toFixed(5)).toBe('0.20594');
    expect(Math.sqrt(found.covariance?.[3] ?? 0).toFixed(5)).toBe('0.29181');
    expect(found.covariance?.[1].toFixed(6)).toBe('0.027128');
  });

  test('log-normal and exponential', () => {
    const lognormal = fitTo(test413, 'lognormal');
    expect(lognormal.coefficients[0].toFixed(5)).toBe('6.22602');
    expect(lognormal.scale.toFixed(6)).toBe('0.908914');
    expect((4 - 2 * lognormal.logLikelihood).toFixed(2)).toBe('154.39');
    const exponential = fitTo(test413, 'exponential');
    expect(exponential.life.toFixed(1)).toBe('777.1');
    expect(exponential.logLikelihood.toFixed(4)).toBe('-76.5557');
    expect(exponential.scale).toBe(1);
  });
});

describe('6-MP trial, weeks of remission (Freireich et al. 1963, Blood 21)', () => {
  const treated = lives([6, 6, 6, 7, 10, 13, 16, 22, 23], [6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35]);
  const placebo = lives([1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23], []);

  test('each arm alone', () => {
    const first = fitTo(treated);
    expect([first.life.toFixed(4), first.shape.toFixed(5), first.logLikelihood.toFixed(4)]).toEqual([
      '33.7652',
      '1.35373',
      '-41.6587',
    ]);
    expect((1 / fitTo(treated, 'exponential').life).toFixed(7)).toBe((9 / 359).toFixed(7));
    const second = fitTo(placebo);
    expect([second.life.toFixed(5), second.shape.toFixed(5), second.logLikelihood.toFixed(5)]).toEqual([
      '9.48214',
      '1.37050',
      '-64.92011',
    ]);
  });

  test('both arms: the effect on log time', () => {
    const join = (field: 'entry' | 'lower' | 'upper' | 'weight') =>
      Float64Array.of(...treated[field], ...placebo[field]);
    const both: AftData = {
      entry: join('entry'),
      lower: join('lower'),
      upper: join('upper'),
      weight: join('weight'),
      covariates: Float64Array.from({ length: 42 }, (_, i) => (i < 21 ? 1 : 0)),
      names: ['treated'],
      intercept: true,
    };
    const found = fitTo(both);
    expect(found.coefficients[1].toFixed(5)).toBe('1.26733');
    expect(found.scale.toFixed(6)).toBe('0.732194');
    expect(found.logLikelihood.toFixed(5)).toBe('-106.57949');
  });
});

test('radiotherapy-only arm, intervals in months (Finkelstein and Wolfe 1985, Biometrics 41)', () => {
  const intervals =
    '0,7 0,8 0,5 4,11 5,12 5,11 6,10 7,16 7,14 11,15 11,18 17,25 17,25 19,35 18,26 25,37 26,40 27,34 36,44 36,48 37,44'
      .split(' ')
      .map((text) => text.split(',').map(Number));
  const sound = [15, 17, 18, 22, 24, 24, 32, 33, 34, 36, 36, 37, 37, 37, 38, 40, 45, 46, 46, 46, 46, 46, 46, 46, 46];
  const found = fitTo({
    ...lives([], [...intervals.map(() => 1), ...sound]),
    lower: Float64Array.of(...intervals.map(([lower]) => lower), ...sound),
    upper: Float64Array.of(...intervals.map(([, upper]) => upper), ...sound.map(() => Infinity)),
  });
  // Recomputed from the published data with scipy: shape 1.12041, scale 57.5245, log-likelihood -64.5921.
  expect([found.shape.toFixed(5), found.life.toFixed(4), found.logLikelihood.toFixed(4)]).toEqual([
    '1.12041',
    '57.5245',
    '-64.5921',
  ]);
});

test('shock absorbers (Meeker and Escobar 1998, chapter 8; data of O’Connor 1985)', () => {
  const failed = [6700, 9120, 12200, 13150, 14300, 17520, 20100, 20900, 22700, 26510, 27490];
  const sound = [
    6950, 7820, 8790, 9660, 9820, 11310, 11690, 11850, 11880, 12140, 12870, 13330, 13470, 14040, 17540, 17890, 18450,
    18960, 18980, 19410, 20100, 20150, 20320, 23490, 27410, 27890, 28100,
  ];
  const found = fitTo(lives(failed, sound));
  expect(found).toMatchObject({ observations: 38, failures: 11 });
  // Printed: mu 10.23, sigma .3164; recomputed to more digits.
  expect(found.coefficients[0].toFixed(6)).toBe('10.229863');
  expect(found.scale.toFixed(7)).toBe('0.3164086');
  expect(found.logLikelihood.toFixed(5)).toBe('-123.99536');
});

test('cracks in 167 parts, inspected at set months (Nelson 1982, Applied Life Data Analysis)', () => {
  // Inspections at 6.12 to 63.48 months; printed: characteristic life 71.7 months, shape 1.49.
  const months = [6.12, 19.92, 29.64, 35.4, 39.72, 45.24, 52.32, 63.48];
  const found = [5, 16, 12, 18, 18, 2, 6, 17, 73];
  const fitted = fitTo({
    ...lives([], [0, ...months]),
    upper: Float64Array.of(...months, Infinity),
    weight: Float64Array.from(found),
  });
  expect(fitted.life.toFixed(1)).toBe('71.7');
  expect(fitted.shape.toFixed(2)).toBe('1.49');
});
