import { expect, test } from 'vitest';
import type { FirstFailures } from '../../../../analytics/forecast/first-failures.ts';
import type { NewLifeDraws } from '../../../../analytics/forecast/new-life-draws.ts';
import { ModelNewLives } from '../../../../analytics/forecast/new-life-draws.ts';
import { newLives } from '../../../../analytics/forecast/new-lives.ts';
import { programProblem } from '../../../../analytics/program/build-problem.ts';
import { evaluateProgram } from '../../../../analytics/program/evaluate-program.ts';
import {
  drawFirstFailures,
  LASTS,
  type ProgramSample,
  sampleOf,
} from '../../../../analytics/program/program-sample.ts';
import { inventedNetwork, TERMS } from './invented-network.ts';

const DRAWS = 5000;
/** First failures with the same chances in every draw. */
const certain = (failed: readonly number[]): FirstFailures => ({
  etasOf: () => new Float64Array(DRAWS),
  failedNowOf: () => new Float64Array(DRAWS),
  eachDraw: (_, visit) => {
    for (let d = 0; d < DRAWS; d++) visit(d, 0, Float64Array.from([9, ...failed.map((p) => 2 * p)]), 0.5, 1);
  },
});
const input = (known: number) => ({
  keys: Int32Array.of(77),
  knownFailed: Uint8Array.of(known),
  draws: DRAWS,
  years: 3,
  seed: 4,
});
/** Five standard errors of a share. */
const near = (found: number, share: number) =>
  expect(Math.abs(found - share)).toBeLessThanOrEqual(5 * Math.sqrt((share * (1 - share)) / DRAWS));

test('first failures fall in each year as often as its chance says', () => {
  const years = drawFirstFailures(input(0), certain([0.1, 0.35, 0.6]), undefined);
  const share = (year: number) => years.reduce((sum, value) => sum + Number(value === year), 0) / DRAWS;
  near(share(0), 0.1);
  near(share(1), 0.25);
  near(share(2), 0.25);
  near(share(LASTS), 0.4);
});

test('a seal known to have failed is failed from the planning year in every draw', () => {
  expect(drawFirstFailures(input(1), certain([0, 0, 0])).every((year) => year === 0)).toBe(true);
});

test('a resealed joint fails at each age as often as its curve says, a later reseal independently', () => {
  const ages = [0, 0.2, 0.5, 0.7];
  const lives: NewLifeDraws = {
    draws: DRAWS,
    oldestAge: 3,
    failedOf: () => Float64Array.from({ length: DRAWS * 4 }, (_, at) => ages[at % 4]),
  };
  const network = inventedNetwork({ count: 2, years: 6, draws: 3 });
  const problem = programProblem({ ...network.input, replacedInYear: Int32Array.of(-1, -1) });
  const sample: ProgramSample = {
    draws: DRAWS,
    seed: 8,
    keys: Int32Array.of(1, 2),
    firstFailureYear: new Uint8Array(2 * DRAWS).fill(LASTS),
    newLives: lives,
  };
  const plan = { segment: Int32Array.of(0, 0), year: Int32Array.of(0, 3), sealantClass: Int32Array.of(0, 0) };
  const { failedM } = evaluateProgram(problem, plan, sample, TERMS).draws;
  const failed = (d: number, y: number) => Number(failedM[d * 6 + y] > 0);
  const share = (of: (d: number) => number) =>
    Array.from({ length: DRAWS }, (_, d) => of(d)).reduce((a, b) => a + b) / DRAWS;
  for (const [year, chance] of [0, 0.2, 0.5, 0, 0.2, 0.5].entries())
    near(
      share((d) => failed(d, year)),
      chance,
    );
  near(
    share((d) => failed(d, 2) * failed(d, 5)),
    0.25,
  );
});

test('the lives of a curve draw by draw average to the curve', () => {
  const { input: made, sample } = inventedNetwork();
  let curve = 0;
  for (const { failedByAge, oldestAge } of made.newLives)
    for (let c = 0; c < failedByAge.length / (oldestAge + 1); c++, curve++) {
      const table = sample.newLives.failedOf(curve);
      for (const age of [0, 1, 7, 12]) {
        let sum = 0;
        for (let d = 0; d < sample.draws; d++) sum += table[d * (sample.newLives.oldestAge + 1) + age];
        expect(sum / sample.draws).toBeCloseTo(failedByAge[c * (oldestAge + 1) + age], 12);
      }
    }
});

test('curves are numbered on through groups, an empty one included', () => {
  const draws = {
    draws: 1,
    coefficients: Float64Array.of(2),
    scale: Float64Array.of(0.5),
    effectiveSampleSize: 1,
    paretoK: 0,
  };
  const [one, none] = [Float64Array.of(1, 1.5), new Float64Array()].map((rows) => newLives(rows, draws, 'weibull', 10));
  const lives = new ModelNewLives([one, none, one], draws, 'weibull', 10);
  expect([...lives.failedOf(3)]).toEqual([...one.failedByAge.subarray(11)]);
  expect([...lives.failedOf(2)]).toEqual([...one.failedByAge.subarray(0, 11)]);
});

test('part of a sample keeps the lives of its segments', () => {
  const { sample } = inventedNetwork({ draws: 7 });
  const part = sampleOf(sample, [40, 3]);
  expect([...part.keys]).toEqual([40, 3]);
  expect([...part.firstFailureYear.subarray(7)]).toEqual([...sample.firstFailureYear.subarray(21, 28)]);
});
