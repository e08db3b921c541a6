import { describe, expect, test } from 'vitest';
import { seededRandom } from '../../../../analytics/numeric/seeded-normals.ts';
import type { AftData, Family } from '../../../../analytics/survival/aft.ts';
import { fitAft } from '../../../../analytics/survival/fit-aft.ts';
import { fitGeneralisedGamma } from '../../../../analytics/survival/generalised-gamma.ts';
import { probabilityPlot } from '../../../../analytics/survival/probability-plot.ts';
import { turnbull } from '../../../../analytics/survival/turnbull.ts';
import { aftCases, caseData, dataOf } from '../../../reference/survival/read.ts';

const caseNamed = (name: string): AftData => caseData(aftCases.find((one) => one.name === name) ?? aftCases[0]);
const cracks = caseNamed('cracks');

describe('cracks in 167 parts, inspected at set times (Nelson 1982, Applied Life Data Analysis)', () => {
  const fit = fitAft(cracks, { family: 'weibull', prior: null });
  const plot = probabilityPlot(cracks, fit);

  test('boxes rise by the shares found: 5, 21, 33, 51, 69, 71, 77 and 94 of 167', () => {
    const found = [5, 21, 33, 51, 69, 71, 77, 94];
    plot.boxes.slice(0, 8).forEach(({ failedBefore, failedAfter, heightAfter }, k) => {
      expect(failedAfter).toBeCloseTo(found[k] / 167, 8);
      expect(failedBefore).toBeCloseTo((found[k - 1] ?? 0) / 167, 8);
      // Weibull paper: log(-log(1 - F)).
      expect(heightAfter).toBeCloseTo(Math.log(-Math.log1p(-found[k] / 167)), 8);
    });
    expect(plot.boxes[0]).toMatchObject({ fromAge: 0, toAge: 186, heightBefore: null });
    expect(plot.boxes[8]).toMatchObject({ fromAge: 1932, toAge: null, failedAfter: 1, heightAfter: null });
    expect(plot).toMatchObject({ observations: 167, failures: 94, notes: [] });
  });

  test('the line is straight over log age, with the printed 10 % life and its error', () => {
    const { line } = plot;
    const slopes = line.slice(1).map((point, k) => (point.height - line[k].height) / Math.log(point.age / line[k].age));
    for (const slope of slopes) expect(slope).toBeCloseTo(1 / fit.scale, 8);
    for (const { age, lowerAge, upperAge } of line) {
      expect(lowerAge ?? Infinity).toBeLessThan(age);
      expect(upperAge ?? 0).toBeGreaterThan(age);
      expect((lowerAge ?? 0) * (upperAge ?? 0)).toBeCloseTo(age * age, -3);
    }
    expect(line[0].failed).toBeLessThan(5 / 167);
    expect(line[line.length - 1].failed).toBeCloseTo(0.99, 12);
  });

  test('the family fits, as the book finds', () => {
    expect(plot.boxes.every(({ meetsBand }) => meetsBand)).toBe(true);
    expect(plot.sentence).toBe('The 90 % band meets 9 of the 9 boxes: the family fits the records.');
  });
});

test('every family has its own paper, straight for its own line', () => {
  for (const family of ['weibull', 'lognormal', 'loglogistic', 'exponential'] as Family[]) {
    const { line, ticks } = probabilityPlot(cracks, fitAft(cracks, { family, prior: null }));
    const [first, middle, last] = [line[0], line[30], line[59]];
    const slope = (a: typeof first, b: typeof first): number => (b.height - a.height) / Math.log(b.age / a.age);
    expect(slope(first, middle)).toBeCloseTo(slope(middle, last), 8);
    const heights = ticks.map(({ height }) => height);
    expect([...heights].sort((a, b) => a - b)).toEqual(heights);
  }
  const gamma = fitGeneralisedGamma(cracks, { prior: null });
  const { line } = probabilityPlot(cracks, gamma);
  const slope = (line[59].height - line[0].height) / Math.log(line[59].age / line[0].age);
  expect(slope).toBeCloseTo(1 / gamma.scale, 8);
});

test('a family that does not fit is told so', () => {
  const random = seededRandom(7);
  // Two kinds of lives, short and long, in one heap.
  const lives = Array.from({ length: 400 }, (_, i) => (i % 2 ? 3 : 30) * Math.exp(0.1 * random.normal()));
  const data: AftData = {
    ...dataOf([]),
    entry: new Float64Array(400),
    lower: Float64Array.from(lives, Math.floor),
    upper: Float64Array.from(lives, (t) => Math.floor(t) + 1),
    weight: new Float64Array(400).fill(1),
  };
  const plot = probabilityPlot(data, fitAft(data, { family: 'weibull', prior: null }));
  expect(plot.sentence).toMatch(/another family, or covariates that are missing, may fit better\.$/);
});

test('seals with other covariates are carried to the one that is drawn', () => {
  // Lives in two groups whose ratio is known: carried, they are one heap.
  const base = [2, 3, 5, 8, 9, 11, 14, 17, 20, 26];
  const ages = [...base, ...base.map((age) => 2 * age)];
  const data: AftData = {
    ...dataOf(ages.map((age) => [0, age, age, 1] as const)),
    covariates: Float64Array.from(ages, (_, i) => (i < 10 ? 0 : 1)),
    names: ['long'],
  };
  const fit = fitAft(data, { family: 'weibull', prior: null });
  expect(Math.exp(fit.coefficients[1])).toBeCloseTo(2, 8);
  const plot = probabilityPlot(data, fit, { covariates: [0] });
  const expected = turnbull(dataOf(base.map((age) => [0, age, age, 1] as const)));
  const shareBy = (age: number): number =>
    plot.boxes.reduce((share, box) => ((box.toAge ?? Infinity) <= age * 1.001 ? box.failedAfter : share), 0);
  expected.survivalAfter.forEach((survival, k) => {
    expect(shareBy(expected.to[k])).toBeCloseTo(1 - survival, 6);
  });
  expect(plot.notes).toEqual(['Ages are carried to the seal that is drawn, by the fit’s own life ratios.']);
});

test('delayed entry: boxes start from the fit’s share at the earliest entry', () => {
  const data = dataOf([
    [4, 5, 6, 2],
    [4, 6, 8, 3],
    [5, 8, 9, 2],
    [4, 9, 12, 3],
    [6, 12, null, 5],
  ]);
  const fit = fitAft(data, { family: 'weibull', prior: null });
  const plot = probabilityPlot(data, fit);
  const failedBy4 = -Math.expm1(-((4 / Math.exp(fit.coefficients[0])) ** (1 / fit.scale)));
  expect(plot.boxes[0].failedBefore).toBeCloseTo(failedBy4, 10);
  expect(plot.notes.join(' ')).toMatch(
    /Nothing was under observation before age 4.*the share that the fit says had failed/,
  );
});

test('many ages are rounded, and it says so; nothing but soundness says so too', () => {
  const random = seededRandom(2);
  const rows = 6000;
  const lower = Float64Array.from({ length: rows }, () => 1 + 10 * random.uniform());
  const data: AftData = {
    ...dataOf([]),
    entry: new Float64Array(rows),
    lower,
    upper: lower.map((age, i) => (i % 2 ? Infinity : age + 0.001 + random.uniform())),
    weight: new Float64Array(rows).fill(1),
  };
  const plot = probabilityPlot(data, fitAft(data, { family: 'weibull', prior: null }));
  expect(plot.notes).toContain('Ages are rounded to half a per cent.');
  expect(plot.boxes.every(({ failedAfter, failedBefore }) => failedAfter > failedBefore)).toBe(true);
  const sound = dataOf([[0, 5, null, 10]]);
  const prior = { means: [2.5], sds: [0.5], logScaleMean: -0.9, logScaleSd: 0.4 };
  const none = probabilityPlot(sound, fitAft(sound, { family: 'weibull', prior }));
  expect(none.sentence).toBe('No failure is on record, so there is nothing to hold the line against.');
  expect(none.boxes.map(({ toAge }) => toAge)).toEqual([null]);
});
