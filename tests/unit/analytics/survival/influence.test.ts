import { describe, expect, test } from 'vitest';
import type { AftData, AftFit, AftPrior, Family } from '../../../../analytics/survival/aft.ts';
import { standardCumulativeHazard, standardHazard } from '../../../../analytics/survival/families.ts';
import { fitAft } from '../../../../analytics/survival/fit-aft.ts';
import { influence } from '../../../../analytics/survival/influence.ts';
import { weakPrior } from '../../../../analytics/survival/weak-prior.ts';
import { aftCases, caseData, dataOf, mixedCensoring } from '../../../reference/survival/read.ts';

const caseNamed = (name: string): AftData => caseData(aftCases.find((one) => one.name === name) ?? aftCases[0]);
const mixed = dataOf(mixedCensoring.rows);

function without(data: AftData, out: (i: number) => boolean): AftData {
  const kept = [...data.lower.keys()].filter((i) => !out(i));
  const n = data.names.length;
  const pick = (from: Float64Array): Float64Array => Float64Array.from(kept, (i) => from[i]);
  return {
    ...data,
    entry: pick(data.entry),
    lower: pick(data.lower),
    upper: pick(data.upper),
    weight: pick(data.weight),
    covariates: Float64Array.from(kept.flatMap((i) => [...data.covariates.subarray(i * n, (i + 1) * n)])),
  };
}

/** The form to read: log-likelihood of all rows at given coefficients and sigma. */
function logLikelihoodAt(data: AftData, family: Family, coefficients: Float64Array, sigma: number): number {
  const n = data.names.length;
  let sum = 0;
  for (let i = 0; i < data.lower.length; i++) {
    let mu = coefficients[0];
    for (let j = 0; j < n; j++) mu += coefficients[j + 1] * data.covariates[i * n + j];
    const hazardAt = (age: number): number => standardCumulativeHazard(family, (Math.log(age) - mu) / sigma);
    let part = hazardAt(data.entry[i]) - hazardAt(data.lower[i]);
    if (data.upper[i] === data.lower[i])
      part += Math.log(standardHazard(family, (Math.log(data.upper[i]) - mu) / sigma) / (sigma * data.upper[i]));
    else if (data.upper[i] < Infinity) part += Math.log(-Math.expm1(hazardAt(data.lower[i]) - hazardAt(data.upper[i])));
    sum += data.weight[i] * part;
  }
  return sum;
}

const ranks = (values: readonly number[]): number[] => {
  const order = [...values.keys()].sort((a, b) => values[a] - values[b]);
  const out = new Array<number>(values.length);
  order.forEach((which, rank) => {
    out[which] = rank;
  });
  return out;
};
/** Spearman's rank correlation, no ties. */
function rankCorrelation(a: readonly number[], b: readonly number[]): number {
  const first = ranks(a);
  const second = ranks(b);
  const n = a.length;
  return 1 - (6 * first.reduce((sum, r, k) => sum + (r - second[k]) ** 2, 0)) / (n * (n * n - 1));
}

interface LeftOut {
  readonly changes: readonly number[];
  readonly displacement: number;
}

function refits(data: AftData, fit: AftFit, prior: AftPrior | null, groupOf: (i: number) => number): LeftOut[] {
  const groups = Math.max(...[...data.lower.keys()].map(groupOf)) + 1;
  return Array.from({ length: groups }, (_, g) => {
    const less = fitAft(
      without(data, (i) => groupOf(i) === g),
      { family: fit.family, prior },
    );
    const full = logLikelihoodAt(data, fit.family, fit.coefficients, fit.scale);
    return {
      changes: [
        ...less.coefficients.map((b, j) => b - fit.coefficients[j]),
        ...(fit.family === 'exponential' ? [] : [Math.log(less.scale / fit.scale)]),
      ],
      displacement: 2 * (full - logLikelihoodAt(data, fit.family, less.coefficients, less.scale)),
    };
  });
}

describe('one step is near a refit without the record', () => {
  const cases: readonly [string, AftData][] = [
    ['ovarian', caseNamed('ovarian')],
    ['lung', caseNamed('lung')],
    ['every kind of censoring, with delayed entry', mixed],
  ];
  for (const [name, data] of cases)
    for (const family of ['weibull', 'lognormal', 'loglogistic', 'exponential'] as const)
      test(`${name}, ${family}`, () => {
        const fit = fitAft(data, { family, prior: null });
        expect(Math.abs(logLikelihoodAt(data, family, fit.coefficients, fit.scale) - fit.logLikelihood)).toBeLessThan(
          1e-8 * Math.abs(fit.logLikelihood),
        );
        const found = influence(data, fit, null, { refits: 0 });
        const refitted = refits(data, fit, null, (i) => i);
        const size = refitted[0].changes.length;
        const displacements = refitted.map(({ displacement }) => displacement);
        expect(rankCorrelation([...found.displacement], displacements)).toBeGreaterThan(0.9);
        const errors = Array.from({ length: size }, (_, j) => Math.sqrt(fit.covariance?.[j * (size + 1)] ?? 0));
        let worst = 0;
        let square = 0;
        refitted.forEach(({ changes }, i) => {
          changes.forEach((change, j) => {
            const gap = Math.abs(found.changes[i * size + j] - change) / errors[j];
            worst = Math.max(worst, gap);
            square += gap * gap;
          });
        });
        // In standard errors. Rows of the mixed data have weights of up to a fifth of the whole, so one step is rough.
        const few = data.lower.length < 20;
        expect(worst).toBeLessThan(few ? 1 : 0.5);
        expect(Math.sqrt(square / (size * refitted.length))).toBeLessThan(few ? 0.3 : 0.1);
        const strongest = displacements.indexOf(Math.max(...displacements));
        expect(found.top.slice(0, 3).map(({ group }) => group)).toContain(strongest);
      });
});

test('a thousandth of a row moves the fit as calculus says, for every kind of row', () => {
  for (const family of ['weibull', 'lognormal', 'loglogistic', 'exponential'] as const) {
    const rows = mixedCensoring.rows;
    const split = dataOf(rows.flatMap(([a, l, u, w]) => [[a, l, u, w] as const, [a, l, u, 999 * w] as const]));
    const fit = fitAft(split, { family, prior: null });
    const found = influence(split, fit, null, { refits: 0 });
    const size = family === 'exponential' ? 1 : 2;
    rows.forEach((_, k) => {
      const less = fitAft(
        without(split, (i) => i === 2 * k),
        { family, prior: null },
      );
      const changes = [less.coefficients[0] - fit.coefficients[0], Math.log(less.scale / fit.scale)];
      const most = Math.max(...changes.map(Math.abs));
      for (let j = 0; j < size; j++)
        expect(Math.abs(found.changes[2 * k * size + j] - changes[j])).toBeLessThan(2e-3 * most + 1e-10);
    });
  }
});

test('the strongest are refitted, and are then what a refit gives', () => {
  const data = caseNamed('ovarian');
  for (const family of ['weibull', 'exponential'] as const) {
    const fit = fitAft(data, { family, prior: null });
    const refitted = refits(data, fit, null, (i) => i);
    const { top } = influence(data, fit, null, { refits: 3, top: 6 });
    expect(top.map((one) => one.refitted).filter(Boolean)).toHaveLength(3);
    for (const { group, refitted: exact, displacement, coefficientChanges } of top) {
      if (!exact) continue;
      expect(displacement).toBeCloseTo(refitted[group].displacement, 7);
      coefficientChanges.forEach((change, j) => {
        expect(change).toBeCloseTo(refitted[group].changes[j], 7);
      });
    }
  }
});

test('segments: the rows of a group are taken out together, and a prior stays', () => {
  const data = caseNamed('lung');
  const groups = Int32Array.from({ length: data.lower.length }, (_, i) => i % 40);
  const prior = weakPrior(data);
  const fit = fitAft(data, { family: 'weibull', prior });
  const found = influence(data, fit, prior, { groups, top: 5, refits: 0 });
  const refitted = refits(data, fit, prior, (i) => i % 40);
  expect(found.displacement).toHaveLength(40);
  expect(found.top).toHaveLength(5);
  const size = refitted[0].changes.length;
  refitted.forEach(({ changes }, g) => {
    changes.forEach((change, j) => {
      const error = Math.sqrt(fit.covariance?.[j * (size + 1)] ?? 0);
      expect(Math.abs(found.changes[g * size + j] - change)).toBeLessThan(0.05 * error);
    });
  });
  const [top] = found.top;
  expect(top.coefficientChanges[1]).toBe(found.changes[top.group * size + 1]);
  const errors = fit.names.map((_, j) => Math.sqrt(fit.covariance?.[j * (size + 1)] ?? 0));
  expect(top.changesInErrors[0]).toBeCloseTo(top.coefficientChanges[0] / errors[0], 12);
});

test('a life ten times too long is at the top, and the sentence says what it does', () => {
  const lower = Float64Array.from({ length: 60 }, (_, i) => 8 + (i % 10));
  const upper = lower.map((age) => age + 1);
  lower[17] = 150;
  upper[17] = 160;
  const data: AftData = {
    ...dataOf([]),
    entry: new Float64Array(60),
    lower,
    upper,
    weight: new Float64Array(60).fill(1),
  };
  const fit = fitAft(data, { family: 'weibull', prior: null });
  const { top, sentence } = influence(data, fit, null);
  expect(top[0].group).toBe(17);
  const less = fitAft(
    without(data, (i) => i === 17),
    { family: 'weibull', prior: null },
  );
  const median = (f: AftFit): number => Math.exp(f.coefficients[0] + f.scale * Math.log(Math.LN2));
  expect(top[0].medianRatio).toBeCloseTo(median(less) / median(fit), 6);
  expect(top[0].medianRatio).toBeGreaterThan(1.02);
  expect(sentence).toMatch(
    /^1 of 60 pull the fit notably: check their dates first; without the strongest the median life of the average seal would be 2\.4 % longer\.$/,
  );
});

test('what cannot be answered is refused', () => {
  const none = fitAft(dataOf([[0, 5, null, 10]]), { family: 'weibull', prior: null });
  expect(() => influence(dataOf([[0, 5, null, 10]]), none, null)).toThrow('this one is no-events');
  const fit = fitAft(mixed, { family: 'weibull', prior: null });
  expect(() => influence(mixed, fit, null, { groups: Int32Array.of(0) })).toThrow('groups has 1 entries; expected 12');
  expect(() => influence(mixed, fit, null, { groups: new Int32Array(12).fill(-1) })).toThrow('Row 1 of the fit');
});
