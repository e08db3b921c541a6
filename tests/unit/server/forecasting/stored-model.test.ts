import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readingModel } from '../../../../analytics/condition/condition.ts';
import { DEFAULT_DAMAGE_RULE } from '../../../../analytics/forecast/damage-rule.ts';
import { PUBLISHED_PRIORS } from '../../../../analytics/survival/covariate-prior.ts';
import { COVARIATES } from '../../../../analytics/survival/covariate-table.ts';
import { decodeModel, encodeModel, type StoredModel } from '../../../../server/forecasting/stored-model.ts';

const [first, second] = COVARIATES;

const model = (coefficients: Float64Array, scale: Float64Array, paretoK = 0.4): StoredModel => ({
  family: 'loglogistic',
  design: {
    classes: ['hot-applied', 'polysulfide'],
    columns: [
      { covariate: first, mean: 0.1 + 0.2, sd: 1 / 3, fill: 7, missing: 2 },
      { covariate: second, mean: -1e-300, sd: 4, fill: 0.1, missing: 0 },
    ],
    names: ['class:hot-applied', 'class:polysulfide', first.name, second.name],
    dropped: [{ name: 'width', reason: 'the same everywhere' }],
  },
  draws: { draws: scale.length, coefficients, scale, effectiveSampleSize: 123.456, paretoK },
  damageRule: DEFAULT_DAMAGE_RULE,
  condition: null,
});

const bits = (floats: Float64Array): string =>
  Buffer.from(floats.buffer, floats.byteOffset, floats.byteLength).toString('hex');

describe('a stored model', () => {
  test('comes back bit for bit', () => {
    const draws = fc.integer({ min: 1, max: 6 });
    fc.assert(
      fc.property(draws, fc.array(fc.double(), { minLength: 30, maxLength: 30 }), (count, values) => {
        const coefficients = Float64Array.from(values.slice(0, count * 4));
        const scale = Float64Array.from(values.slice(24, 24 + count));
        const written = model(coefficients, scale);
        const found = decodeModel(encodeModel(written));
        expect(bits(found.draws.coefficients)).toBe(bits(coefficients));
        expect(bits(found.draws.scale)).toBe(bits(scale));
        expect(found.design).toEqual(written.design);
        expect(found).toMatchObject({ family: 'loglogistic', damageRule: DEFAULT_DAMAGE_RULE });
      }),
      { seed: 1 },
    );
  });

  test('keeps what JSON has no word for, and draws that are a part of a larger array', () => {
    const odd = Float64Array.of(99, -0, 5e-324, Number.MAX_VALUE, Number.NaN, 99);
    const found = decodeModel(encodeModel(model(odd.subarray(1, 5), Float64Array.of(0.1), Number.NaN)));
    expect(bits(found.draws.coefficients)).toBe(bits(odd.slice(1, 5)));
    expect(found.draws.paretoK).toBeNaN();
  });

  test('keeps how damage grows and years differ bit for bit, and the spread of covariates', () => {
    const growth = {
      exponent: Float64Array.of(2.3, 1 / 3),
      readingSd: Float64Array.of(0.1 + 0.2, 5e-324),
      inspectors: 3,
      inspectorShift: Float64Array.of(0.1, -0.2, 0.1, 1 / 7, 0, -1 / 7),
    };
    const condition = { growth, reading: readingModel(0.1), inspectors: ['A', 'B', 'É'] };
    const covariateSpread = Float64Array.of(1, 0.1 + 0.2, 0.3, 1);
    const written = {
      ...model(new Float64Array(8), Float64Array.of(1, 2)),
      condition,
      covariateSpread,
      yearSd: Float64Array.of(1 / 3, 0.1 + 0.2),
    };
    expect(decodeModel(encodeModel(written))).toEqual(written);
  });

  test('keeps what was believed and the effects of levels bit for bit', () => {
    const levels = [
      {
        ...{ name: 'lot', levels: ['L1', 'Ł 2'], unknownLevels: 1, ofSeal: true },
        sd: Float64Array.of(0.1 + 0.2, 1 / 7),
        effects: Float32Array.of(0.1, -0.2, 1e-30, 3, -0, 1 / 3),
      },
    ];
    const written = { ...model(new Float64Array(8), Float64Array.of(1, 2)), levels, priors: PUBLISHED_PRIORS };
    const found = decodeModel(encodeModel(written));
    expect(found).toMatchObject({ levels, priors: PUBLISHED_PRIORS });
  });

  test('of an older version has neither, and forecasts by the threshold as it did', () => {
    const form = JSON.parse(Buffer.from(encodeModel(model(new Float64Array(4), Float64Array.of(1)))).toString());
    const { condition: _c, covariateSpread: _s, priors: _p, levels: _l, yearSd: _y, ...older } = form;
    const found = decodeModel(Buffer.from(JSON.stringify(older)));
    expect([found.condition, found.covariateSpread, found.yearSd]).toEqual([null, null, null]);
    expect([found.priors, found.levels]).toEqual([undefined, undefined]);
  });

  test('of a covariate that is gone is refused, with what to do', () => {
    const text = Buffer.from(encodeModel(model(new Float64Array(4), Float64Array.of(1)))).toString();
    const later = Buffer.from(text.replace(`"name":"${first.name}"`, '"name":"moonlight"'));
    expect(() => decodeModel(later)).toThrow(
      'The stored model uses the covariate moonlight, which is gone. Fit the model again.',
    );
  });
});
