import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  conditionalSurvivalInto,
  failedMassInto,
  weighByEvidence,
} from '../../../../analytics/forecast/conditional-kernel.ts';
import { survivalTable } from '../../../../analytics/forecast/standard-life.ts';

const runs = fc.record({
  family: fc.constantFrom('weibull' as const, 'lognormal' as const, 'loglogistic' as const),
  sound: fc.oneof(fc.constant(0), fc.double({ min: 0.01, max: 60, noNaN: true })),
  steps: fc.array(fc.double({ min: 0, max: 8, noNaN: true }), { minLength: 1, maxLength: 30 }),
  weights: fc.option(fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { minLength: 31, maxLength: 31 })),
  eta: fc.double({ min: 0.5, max: 4, noNaN: true }),
  sigma: fc.double({ min: 0.1, max: 1.5, noNaN: true }),
});

test('failed mass in one pass agrees with survival, then evidence, to 1e-9', () => {
  fc.assert(
    fc.property(runs, ({ family, sound, steps, weights, eta, sigma }) => {
      const count = steps.length;
      const evidence = weights && Float64Array.from(weights);
      let age = sound;
      const logAges = Float64Array.from(steps, (step) => {
        age += step;
        return Math.log(age);
      });
      const table = survivalTable(family);
      const draw = { eta, perSigma: 1 / sigma };
      const survival = new Float64Array(count);
      conditionalSurvivalInto(survival, logAges, 0, count, Math.log(sound), draw, table);
      if (evidence) weighByEvidence(survival, evidence, 0, count);
      const failed = new Float64Array(count);
      const share = failedMassInto(failed, logAges, 0, count, Math.log(sound), draw, table, evidence);
      failed.forEach((mass, j) => {
        expect(Math.abs(1 - survival[j] - share * mass)).toBeLessThan(1e-9);
      });
    }),
    { seed: 1, numRuns: 2000 },
  );
});
