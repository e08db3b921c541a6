import { readFileSync } from 'node:fs';
import gammainc from '@stdlib/math-base-special-gammainc';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { AftData } from '../../../../analytics/survival/aft.ts';
import { compress } from '../../../../analytics/survival/compress.ts';
import { lifeQuantile } from '../../../../analytics/survival/delta-method.ts';
import { fitAft } from '../../../../analytics/survival/fit-aft.ts';
import { fitGeneralisedGamma, type GeneralisedGammaFit } from '../../../../analytics/survival/generalised-gamma.ts';
import {
  generalisedGammaHazard,
  generalisedGammaQuantile,
  generalisedGammaStandardQuantile,
  generalisedGammaSurvival,
} from '../../../../analytics/survival/generalised-gamma-life.ts';
import { generalisedGammaLikelihood } from '../../../../analytics/survival/generalised-gamma-likelihood.ts';
import {
  generalisedGammaLogDensity,
  generalisedGammaTails,
} from '../../../../analytics/survival/generalised-gamma-tails.ts';
import { generalisedGammaTerms } from '../../../../analytics/survival/generalised-gamma-terms.ts';
import { logLikelihood } from '../../../../analytics/survival/log-likelihood.ts';
import { newTerms } from '../../../../analytics/survival/row-terms.ts';
import { standardise } from '../../../../analytics/survival/standardise.ts';
import { weakPrior } from '../../../../analytics/survival/weak-prior.ts';
import { aftCases, caseData, dataOf, mixedCensoring } from '../../../reference/survival/read.ts';

interface Reference {
  readonly tails: readonly {
    readonly q: number;
    readonly z: number;
    readonly values: readonly [number, number, number];
  }[];
  readonly fits: readonly { name: string; mu: number; sigma: number; q: number; logLikelihood: number }[];
}
const reference = JSON.parse(
  readFileSync(new URL('../../../reference/survival/generalised-gamma.json', import.meta.url), 'utf8'),
) as Reference;

const caseNamed = (name: string): AftData => {
  const found = aftCases.find((one) => one.name === name);
  if (!found) throw new Error(`no case ${name}`);
  return caseData(found);
};
const withoutCovariates = (data: AftData): AftData => ({ ...data, covariates: new Float64Array(0), names: [] });
const mixed = dataOf(mixedCensoring.rows);
const relative = (found: number, expected: number): number => Math.abs(found - expected) / Math.abs(expected);
const unclamped = fc.double({ min: -6, max: 6, noNaN: true });

describe('tails and density', () => {
  test('agree with 60-digit values far into both tails (mpmath)', () => {
    const out = new Float64Array(2);
    for (const { q, z, values } of reference.tails) {
      for (const sign of [1, -1]) {
        generalisedGammaTails(sign * z, sign * q, out);
        const [upper, lower] = sign === 1 ? out : [out[1], out[0]];
        // Tails below the smallest double are 0 in the file.
        if (values[0] > 1e-300) expect(relative(upper, values[0])).toBeLessThan(1e-13);
        if (values[1] > 1e-300) expect(relative(lower, values[1])).toBeLessThan(1e-13);
        expect(Math.abs(generalisedGammaLogDensity(sign * z, sign * q) - values[2])).toBeLessThan(
          1e-14 * (1 + Math.abs(values[2])),
        );
      }
    }
  });

  test('agree with the incomplete gamma ratio where that has digits', () => {
    fc.assert(
      fc.property(unclamped, fc.double({ min: 0.05, max: 4, noNaN: true }), (z, q) => {
        const out = new Float64Array(2);
        generalisedGammaTails(z, q, out);
        const a = 1 / q ** 2;
        const survival = gammainc(a * Math.exp(q * z), a, true, true);
        expect(Math.abs(Math.exp(-out[0]) - survival)).toBeLessThan(1e-12);
      }),
      { seed: 1, numRuns: 500 },
    );
  });

  test('pass through Q = 0 without a jump', () => {
    for (const z of [-9, -3, -0.1, 0, 0.7, 4, 9]) {
      const at = (q: number): number[] => {
        const out = new Float64Array(2);
        generalisedGammaTails(z, q, out);
        return [...out, generalisedGammaLogDensity(z, q)];
      };
      const below = at(-1e-9);
      const above = at(1e-9);
      at(0).forEach((middle, k) => {
        expect(relative((below[k] + above[k]) / 2, middle)).toBeLessThan(1e-12);
        expect(relative(above[k], middle)).toBeLessThan(1e-6);
      });
    }
  });

  test('derivatives in z agree with central differences for every sign of Q', () => {
    const difference = (f: (x: number) => number): number => (f(1e-5) - f(-1e-5)) / 2e-5;
    const gaps = fc.double({ min: 1e-6, max: 3, noNaN: true });
    fc.assert(
      fc.property(
        fc.double({ min: -3, max: 2, noNaN: true }),
        gaps,
        fc.double({ min: -2, max: 2, noNaN: true }),
        (z, gap, q) => {
          const terms = generalisedGammaTerms(q);
          const near = (found: number, expected: number): void => {
            expect(Math.abs(found - expected)).toBeLessThan(2e-6 * (1 + Math.abs(expected)));
          };
          const termOf = (kind: 'right' | 'left' | 'exact', at: number, k: number): number => {
            const out = newTerms();
            terms[kind](at, out);
            return out[k];
          };
          for (const kind of ['right', 'left', 'exact'] as const)
            for (const k of [0, 1])
              near(
                difference((e) => termOf(kind, z + e, k)),
                termOf(kind, z, k + 1),
              );
          const interval = (lower: number, upper: number): Float64Array => {
            const out = newTerms();
            terms.interval(lower, upper - lower, out);
            return out;
          };
          fc.pre(gap > 0.01);
          const here = interval(z, z + gap);
          near(
            difference((e) => interval(z + e, z + gap + e)[0]),
            here[1],
          );
          near(
            difference((e) => interval(z, z + gap + e)[0]),
            here[2],
          );
          near(
            difference((e) => interval(z + e, z + gap + e)[1]),
            here[3],
          );
          near(
            difference((e) => interval(z + e, z + gap + e)[2]),
            here[4],
          );
          near(
            difference((e) => interval(z, z + gap + e)[2]),
            here[5],
          );
        },
      ),
      { seed: 2, numRuns: 200 },
    );
  });
});

describe('special cases, in the likelihood of every kind of row', () => {
  const data = [mixed, caseNamed('ovarian'), caseNamed('lung'), withoutCovariates(caseNamed('cracks'))];
  for (const [q, family] of [
    [1, 'weibull'],
    [0, 'lognormal'],
  ] as const) {
    test(`Q = ${q} is the ${family}: value, gradient and Hessian`, () => {
      for (const one of data) {
        const design = standardise(compress(one), null);
        const width = design.kept.length;
        const delta = Float64Array.from({ length: width }, (_, j) => 0.3 - 0.2 * j);
        const evaluate = (likelihood: ReturnType<typeof logLikelihood>): number[] => {
          const gradient = new Float64Array(width + 1);
          const hessian = new Float64Array((width + 1) ** 2);
          const value = likelihood.derivatives(delta, 1.7, gradient, hessian);
          expect(relative(likelihood.value(delta, 1.7), value)).toBeLessThan(1e-12);
          return [value, ...gradient, ...hessian];
        };
        const expected = evaluate(logLikelihood(design, family));
        const scale = Math.max(...expected.map(Math.abs));
        evaluate(generalisedGammaLikelihood(design, q)).forEach((found, k) => {
          expect(Math.abs(found - expected[k])).toBeLessThan(1e-10 * scale);
        });
      }
    });
  }

  test('Q = sigma is a gamma-distributed life of shape 1 / sigma²', () => {
    // Shape 4, so that Gamma(4) = 6 and the tail is a short sum (DLMF 8.4.10).
    const sigma = 0.5;
    const mu = 2.1;
    const rate = 4 / Math.exp(mu);
    const sound = (age: number): number => {
      const x = rate * age;
      return Math.exp(-x) * (1 + x + x ** 2 / 2 + x ** 3 / 6);
    };
    const density = (age: number): number => (rate ** 4 * age ** 3 * Math.exp(-rate * age)) / 6;
    let expected = 0;
    for (const [entry, lower, upper, weight] of mixedCensoring.rows) {
      const chance = upper === lower ? density(lower) : sound(lower) - (upper === null ? 0 : sound(upper));
      expected += weight * Math.log(chance / sound(entry));
    }
    const design = standardise(compress(mixed), null);
    const delta = Float64Array.of((mu - design.logAge0) / sigma);
    const found = generalisedGammaLikelihood(design, sigma).value(delta, 1 / sigma);
    expect(Math.abs(found - expected)).toBeLessThan(1e-9);
  });
});

describe('fits', () => {
  for (const expected of reference.fits) {
    test(`${expected.name}: the optimum that a simplex search finds with other functions (scipy)`, () => {
      const data = expected.name === 'mixed-censoring' ? mixed : withoutCovariates(caseNamed(expected.name));
      const fit = fitGeneralisedGamma(data, { prior: null });
      expect(fit.converged).toBe(true);
      expect(relative(fit.coefficients[0], expected.mu)).toBeLessThan(1e-5);
      expect(relative(fit.scale, expected.sigma)).toBeLessThan(1e-5);
      expect(Math.abs(fit.q - expected.q)).toBeLessThan(3e-5);
      expect(relative(fit.logLikelihood, expected.logLikelihood)).toBeLessThan(1e-11);
    });
  }

  test('ovarian cancer: log-likelihood -96.949 as R’s flexsurv prints it (from memory)', () => {
    const fit = fitGeneralisedGamma(withoutCovariates(caseNamed('ovarian')), { prior: null });
    expect(fit.logLikelihood.toFixed(3)).toBe('-96.949');
  });

  test('are never below their special cases', () => {
    for (const one of aftCases) {
      const data = caseData(one);
      const fit = fitGeneralisedGamma(data, { prior: null });
      for (const family of ['weibull', 'lognormal', 'exponential'] as const)
        expect(fit.logLikelihood).toBeGreaterThan(fitAft(data, { family, prior: null }).logLikelihood - 1e-9);
    }
  });

  test('the gradient vanishes and the covariance is the inverse of a differenced Hessian', () => {
    const data = caseNamed('lung');
    const fit = fitGeneralisedGamma(data, { prior: null });
    const n = data.names.length + 1;
    const rows = standardise(compress(data), null);
    // Log-likelihood in the original parameters, by the identity of the design at a shifted fit.
    const at = (theta: readonly number[]): number => scalarLogLikelihood(data, theta);
    const centre = [...fit.coefficients, Math.log(fit.scale), fit.q];
    expect(relative(at(centre), fit.logLikelihood)).toBeLessThan(1e-10);
    expect(rows.names).toHaveLength(n);
    const errors = centre.map((_, j) => Math.sqrt(fit.covariance?.[j * centre.length + j] ?? 0));
    const moved = (steps: readonly number[]): number => at(centre.map((c, j) => c + steps[j]));
    const unit = (j: number, k: number, a: number, b: number): number[] =>
      centre.map((_, m) => (m === j ? a * errors[j] : 0) + (m === k ? b * errors[k] : 0));
    const h = 0.004;
    let worst = 0;
    for (let j = 0; j < centre.length; j++) {
      const slope = (moved(unit(j, j, h, 0)) - moved(unit(j, j, -h, 0))) / (2 * h);
      // Third derivatives leave a multiple of h² of a unit.
      expect(Math.abs(slope)).toBeLessThan(1e-3);
    }
    // H V = -1, in units of standard errors.
    const size = centre.length;
    const hessian = centre.map((_, j) =>
      centre.map((__, k) => {
        const sum =
          moved(unit(j, k, h, h)) + moved(unit(j, k, -h, -h)) - moved(unit(j, k, h, -h)) - moved(unit(j, k, -h, h));
        return sum / (4 * h * h);
      }),
    );
    for (let j = 0; j < size; j++)
      for (let k = 0; k < size; k++) {
        let product = 0;
        for (let m = 0; m < size; m++)
          product += (hessian[j][m] * (fit.covariance?.[m * size + k] ?? 0)) / (errors[m] * errors[k]);
        worst = Math.max(worst, Math.abs(product + (j === k ? 1 : 0)));
      }
    expect(worst).toBeLessThan(0.01);
  });

  test('a life of known Q, sigma and slope is found again', () => {
    // 4000 lives at the middles of equal steps of probability, seen in two-year intervals.
    const rows = 4000;
    const x = Float64Array.from({ length: rows }, (_, i) => i % 2);
    const life = (i: number): number => {
      const p = ((Math.floor(i / 2) + 0.5) / rows) * 2;
      return Math.exp(2.5 + 0.4 * x[i] + 0.5 * generalisedGammaStandardQuantile(p, 0.6));
    };
    const lower = Float64Array.from({ length: rows }, (_, i) => Math.min(24, 2 * Math.floor(life(i) / 2)));
    const fit = fitGeneralisedGamma(
      {
        entry: new Float64Array(rows),
        lower,
        upper: lower.map((age) => (age === 24 ? Infinity : age + 2)),
        weight: new Float64Array(rows).fill(1),
        covariates: x,
        names: ['x'],
        intercept: true,
      },
      { prior: null },
    );
    expect(fit.status).toBe('ok');
    expect(Math.abs(fit.q - 0.6)).toBeLessThan(0.05);
    expect(Math.abs(fit.scale - 0.5)).toBeLessThan(0.02);
    expect(Math.abs(fit.coefficients[1] - 0.4)).toBeLessThan(0.01);
  });

  test('the unit of time shifts the intercept alone', () => {
    const data = caseNamed('lung');
    const months = 30.4375;
    const scaled = { ...data, lower: data.lower.map((t) => t / months), upper: data.upper.map((t) => t / months) };
    const first = fitGeneralisedGamma(data, { prior: null });
    const second = fitGeneralisedGamma(scaled, { prior: null });
    expect(Math.abs(second.q - first.q)).toBeLessThan(1e-6);
    expect(relative(second.scale, first.scale)).toBeLessThan(1e-6);
    expect(Math.abs(second.coefficients[0] - first.coefficients[0] + Math.log(months))).toBeLessThan(1e-6);
  });

  test('awkward data get a status and a remedy, never a diverged number', () => {
    const none = fitGeneralisedGamma(dataOf([[0, 5, null, 10]]), { prior: null });
    expect(none).toMatchObject({ status: 'no-events', converged: false, covariance: null });
    const one = fitGeneralisedGamma(dataOf([[0, 3, 5, 1]]), { prior: null });
    expect(one.converged).toBe(false);
    const runaway = fitGeneralisedGamma(caseNamed('ovarian'), { prior: null });
    expect(runaway).toMatchObject({ status: 'shape-at-boundary', converged: false });
    expect(runaway.warnings[0]).toBe('Q runs to -5, the end of its range; use one of the other families.');
    for (const fit of [none, one, runaway]) {
      expect([...fit.coefficients, fit.scale, fit.q, fit.logLikelihood].every(Number.isFinite)).toBe(true);
      expect(fit.warnings.length).toBeGreaterThan(0);
    }
    const data = caseNamed('ovarian');
    const held = fitGeneralisedGamma(data, { prior: weakPrior(data) });
    expect([...held.coefficients, held.scale, held.q].every(Number.isFinite)).toBe(true);
  });
});

/** The form to read: every row of right-censored or exact ages by the incomplete gamma ratio. */
function scalarLogLikelihood(data: AftData, theta: readonly number[]): number {
  const n = data.names.length;
  const sigma = Math.exp(theta[n + 1]);
  const q = theta[n + 2];
  const a = 1 / q ** 2;
  let sum = 0;
  for (let i = 0; i < data.lower.length; i++) {
    let mu = theta[0];
    for (let j = 0; j < n; j++) mu += theta[j + 1] * data.covariates[i * n + j];
    const w = (Math.log(data.lower[i]) - mu) / sigma;
    if (data.upper[i] === Infinity) sum += data.weight[i] * Math.log(gammainc(a * Math.exp(q * w), a, true, true));
    else sum += data.weight[i] * (generalisedGammaLogDensity(w, q) - Math.log(sigma * data.lower[i]));
  }
  return sum;
}

describe('quantiles', () => {
  test('invert survival for every sign of Q', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1e-6, max: 1 - 1e-6, noNaN: true }),
        fc.double({ min: -4, max: 4, noNaN: true }),
        (p, q) => {
          const z = generalisedGammaStandardQuantile(p, q);
          const out = new Float64Array(2);
          generalisedGammaTails(z, q, out);
          expect(relative(out[0], -Math.log1p(-p))).toBeLessThan(1e-9);
        },
      ),
      { seed: 3, numRuns: 300 },
    );
    expect(() => generalisedGammaStandardQuantile(1, 1)).toThrow('p is 1; expected above 0 and below 1');
  });

  test('at Q = 1 they are the Weibull’s, also in the standard error where Q is known', () => {
    const weibull = fitAft(caseNamed('lung'), { family: 'weibull', prior: null });
    const n = weibull.names.length + 1;
    const covariance = new Float64Array((n + 1) ** 2);
    for (let j = 0; j < n; j++)
      for (let k = 0; k < n; k++) covariance[j * (n + 1) + k] = weibull.covariance?.[j * n + k] ?? 0;
    const fit: GeneralisedGammaFit = { ...weibull, family: 'generalised-gamma', q: 1, covariance };
    const row = [60, 1, 1];
    for (const p of [0.01, 0.1, 0.5, 0.9]) {
      const expected = lifeQuantile(weibull, row, { p });
      const found = generalisedGammaQuantile(fit, row, { p });
      expect(relative(found.estimate, expected.estimate)).toBeLessThan(1e-10);
      expect(relative(found.standardError ?? 0, expected.standardError ?? 1)).toBeLessThan(1e-8);
      expect(relative(found.upper ?? 0, expected.upper ?? 1)).toBeLessThan(1e-8);
      expect(Math.abs(generalisedGammaSurvival(fit, row, found.estimate) - (1 - p))).toBeLessThan(1e-12);
    }
    const age = 300;
    const slope =
      (generalisedGammaSurvival(fit, row, age - 0.01) - generalisedGammaSurvival(fit, row, age + 0.01)) / 0.02;
    const hazard = generalisedGammaHazard(fit, row, age);
    expect(relative(hazard, slope / generalisedGammaSurvival(fit, row, age))).toBeLessThan(1e-6);
    expect(() => generalisedGammaQuantile(fit, [], { p: 0.5 })).toThrow('0 covariates given');
  });
});
