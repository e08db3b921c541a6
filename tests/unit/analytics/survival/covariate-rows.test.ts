import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  designMatrix,
  learnDesign,
  lifeRatioPerStep,
  writeDesignRow,
} from '../../../../analytics/survival/covariate-rows.ts';
import { COVARIATES, type SealCovariates } from '../../../../analytics/survival/covariate-table.ts';

const seal = (fields: Partial<SealCovariates> = {}): SealCovariates => ({
  sealantClass: 'hot-applied',
  freezingIndexCDays: 400,
  freezeThawDaysPerYear: 60,
  temperatureRangeC: 40,
  precipitationMmPerYear: 800,
  movementOverCapability: 0.5,
  trafficPerDay: 10_000,
  longitudinal: false,
  widthMm: 10,
  blasted: true,
  fuelExposure: false,
  ...fields,
});

describe('the table of covariates', () => {
  test('names are unique and each has a step and a reason', () => {
    expect(new Set(COVARIATES.map((one) => one.name)).size).toBe(COVARIATES.length);
    for (const one of COVARIATES) {
      expect(one.step).toBeGreaterThan(0);
      expect(one.reason.length).toBeGreaterThan(20);
    }
  });

  test('traffic enters as its logarithm, and no traffic is missing rather than minus infinity', () => {
    const traffic = COVARIATES.find((one) => one.name === 'traffic');
    expect(traffic?.valueOf(seal({ trafficPerDay: Math.E }))).toBeCloseTo(1, 12);
    expect(traffic?.valueOf(seal({ trafficPerDay: 0 }))).toBeNull();
  });
});

describe('design rows', () => {
  const network = [
    seal({ widthMm: 8 }),
    seal({ widthMm: 12, blasted: false, sealantClass: 'polysulfide' }),
    seal({ widthMm: null, blasted: null }),
  ];

  test('one column per class, numeric ones centred and scaled over the network, switches as they are', () => {
    const design = learnDesign(network);
    expect(design.names).toEqual(['class:hot-applied', 'class:polysulfide', 'width', 'blasted']);
    // Widths 8 and 12: mean 10, population SD 2; the missing one takes the mean, the missing switch its share of 1/2.
    expect([...designMatrix(design, network)]).toEqual([1, 0, -1, 1, 0, 1, 1, 0, 1, 0, 0, 0.5]);
    expect(design.columns.map((column) => column.missing)).toEqual([1, 1]);
  });

  test('a covariate that never varies is left out, and says so', () => {
    const { dropped } = learnDesign(network);
    expect(dropped.map((one) => one.name)).toContain('freezingIndex');
    expect(dropped[0].reason).toMatch(/same for the whole network/);
    expect(learnDesign([seal({ widthMm: null })]).dropped.find((one) => one.name === 'width')?.reason).toMatch(
      /no seal has a value/,
    );
  });

  test('a class that the network never had is refused by name', () => {
    const design = learnDesign(network);
    expect(() => writeDesignRow(design, seal({ sealantClass: 'putty' }), new Float64Array(4), 0)).toThrow(/putty/);
  });

  test('columns have mean 0 and SD 1, and stay the same when the unit changes', () => {
    fc.assert(
      fc.property(fc.array(fc.double({ min: 5, max: 40, noNaN: true }), { minLength: 3, maxLength: 30 }), (widths) => {
        const spread = Math.max(...widths) - Math.min(...widths);
        fc.pre(spread > 0.01);
        const inMm = widths.map((widthMm) => seal({ widthMm }));
        const inInches = widths.map((widthMm) => seal({ widthMm: widthMm / 25.4 }));
        const a = designMatrix(learnDesign(inMm), inMm).filter((_, i) => i % 2 === 1);
        const b = designMatrix(learnDesign(inInches), inInches).filter((_, i) => i % 2 === 1);
        const mean = a.reduce((sum, x) => sum + x, 0) / a.length;
        expect(Math.abs(mean)).toBeLessThan(1e-9);
        expect(Math.abs(a.reduce((sum, x) => sum + x * x, 0) / a.length - 1)).toBeLessThan(1e-9);
        a.forEach((x, i) => {
          expect(Math.abs(x - b[i])).toBeLessThan(1e-7);
        });
      }),
      { seed: 3 },
    );
  });

  test('the life ratio is for the reported step on the original scale', () => {
    const design = learnDesign(network);
    const width = design.columns[0];
    // SD 2 mm, step 5 mm: exp(-0.1 x 5 / 2).
    expect(lifeRatioPerStep(width, -0.1)).toBeCloseTo(Math.exp(-0.25), 12);
  });
});
