import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Settings } from '../../../../server/schemas/settings.ts';
import type { UnitCost } from '../../../../server/schemas/unit-cost.ts';
import { draftCosts, draftRates, parseDecimal, readCosts, readRates } from '../../../../web/state/budget-edit.ts';

const silicone: UnitCost = {
  sealantClass: 'silicone-self-levelling',
  jointType: 'any',
  costPerM: 12.345678,
  pricedOn: '2029-06-01',
  priceSource: 'Tender 12',
  sourceFile: 'costs.csv',
  sourceRow: 2,
};
const settings: Settings = {
  agencyName: 'An agency',
  agencyInvented: true,
  currency: 'USD',
  failureThresholdShare: 0.1,
  inspectionMethod: 'joint-length',
  family: 'weibull',
  conditionModel: 'auto',
  leftOutCovariates: [],
  pooling: 'auto',
  priors: null,
  stationLimitKm: 150,
  escalationPerYear: 0.031,
  discountRatePerYear: 0.04,
  openJointCostPerMYear: 6,
  planningDate: null,
  baseMapUrl: null,
};

describe('unit costs as typed', () => {
  test('a row that was not touched is saved with every digit and its source, in either unit', () => {
    for (const units of ['si', 'us'] as const) {
      expect(readCosts(draftCosts([silicone], units), units)).toEqual({ costs: [silicone], problems: [] });
    }
  });

  test('a price typed per foot is stored per metre: 3.048 a foot is 10 a metre', () => {
    // The international foot is 0.3048 m exactly.
    const [draft] = draftCosts([silicone], 'us');
    const { costs, problems } = readCosts([{ ...draft, costText: '3.048' }], 'us');
    expect(problems).toEqual([]);
    expect(costs[0].costPerM).toBeCloseTo(10, 12);
    expect(costs[0].sourceFile).toBeNull();
  });

  test.each(['', 'abc', '1,250', '0', '-3', '1e3', '10000.01', 'NaN', 'Infinity'])(
    '%j is refused as a price',
    (text) => {
      const [draft] = draftCosts([silicone], 'si');
      const { problems } = readCosts([{ ...draft, costText: text }], 'si');
      expect(problems.map(({ key, field }) => [key, field])).toEqual([[0, 'cost']]);
    },
  );

  test('the same class and joint type twice is refused at the second', () => {
    const drafts = draftCosts([silicone, silicone], 'si');
    expect(readCosts(drafts, 'si').problems).toMatchObject([{ key: 1, field: 'jointType' }]);
  });

  test('an impossible day is refused', () => {
    const [draft] = draftCosts([silicone], 'si');
    expect(readCosts([{ ...draft, pricedOn: '2029-02-30' }], 'si').problems).toMatchObject([{ field: 'pricedOn' }]);
    expect(readCosts([{ ...draft, pricedOn: '' }], 'si').costs[0].pricedOn).toBeNull();
  });

  test('whatever is typed, no saved price is outside the bounds of the schema', () => {
    fc.assert(
      fc.property(fc.oneof(fc.string(), fc.double().map(String)), fc.constantFrom('si', 'us'), (text, units) => {
        const [draft] = draftCosts([silicone], units);
        const { costs, problems } = readCosts([{ ...draft, costText: text }], units);
        const { costPerM } = costs[0];
        expect(problems.length > 0 || (costPerM > 0 && costPerM <= 10_000)).toBe(true);
      }),
      { seed: 1 },
    );
  });
});

describe('rates as typed', () => {
  test('per cent on screen is a share in the settings, and back', () => {
    const draft = draftRates(settings, 'si');
    expect(draft).toEqual({ escalationPercent: '3.1', discountPercent: '4', openJointCost: '6.00', currency: 'USD' });
    expect(readRates(draft, settings, 'si')).toEqual({ settings, problems: [] });
  });

  test('an open-joint cost that was not touched keeps its value in feet too', () => {
    expect(readRates(draftRates(settings, 'us'), settings, 'us').settings.openJointCostPerMYear).toBe(6);
  });

  test('each rate outside its bounds is named', () => {
    const draft = { escalationPercent: '31', discountPercent: '-1', openJointCost: 'x', currency: 'dollars' };
    const { problems } = readRates(draft, settings, 'si');
    expect(problems.map(({ field }) => field)).toEqual([
      'escalationPercent',
      'discountPercent',
      'openJointCost',
      'currency',
    ]);
  });

  test('a number has a decimal point and nothing else', () => {
    expect(parseDecimal(' 12.50 ')).toBe(12.5);
    expect(parseDecimal('-.5')).toBe(-0.5);
    for (const text of ['1 000', '1,5', '0x10', '', '.', '--1']) expect(parseDecimal(text)).toBeNull();
  });
});
