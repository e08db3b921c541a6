import { expect, test } from 'vitest';
import { PriceList } from '../../../../server/forecasting/price-list.ts';
import { classChoice } from '../../../../server/programs/class-choice.ts';
import { heldBackFrom, heldBackSegments } from '../../../../server/programs/held-back.ts';
import type { UnitCost } from '../../../../server/schemas/unit-cost.ts';
import type { JointType, SealantClass } from '../../../../server/schemas/words.ts';
import { sampleInputs } from '../store/sample-program.ts';

const cost = (sealantClass: SealantClass, jointType: UnitCost['jointType'], costPerM: number): UnitCost => ({
  ...{ sealantClass, jointType, costPerM, pricedOn: null, priceSource: null },
});
const onRecord = new PriceList([
  cost('polysulfide', 'any', 15),
  cost('silicone-non-sag', 'any', 12),
  cost('hot-applied-type-2', 'longitudinal', 6),
  cost('unknown', 'any', 8),
]);
const joint = (jointType: JointType, fuelExposure = false) => ({ jointType, fuelExposure });

test('without a list every class with a price may be used, but none that is not known, and none against its scope', () => {
  const { allows } = classChoice(sampleInputs(), onRecord);
  expect(allows('polysulfide', joint('longitudinal', true))).toBe(true);
  expect(allows('silicone-non-sag', joint('longitudinal'))).toBe(true);
  expect(allows('silicone-non-sag', joint('longitudinal', true))).toBe(false);
  expect(allows('hot-applied-type-2', joint('longitudinal'))).toBe(true);
  expect(allows('hot-applied-type-2', joint('isolation'))).toBe(false);
  expect(allows('unknown', joint('longitudinal'))).toBe(false);
  expect(allows('preformed-compression', joint('longitudinal'))).toBe(false);
});

test('a list narrows classes, joint types and places with fuel; prices of the scenario win', () => {
  const inputs = sampleInputs({
    allowedClasses: [
      { sealantClass: 'polysulfide', jointTypes: ['isolation'], whereFuelIsSpilled: false },
      { sealantClass: 'preformed-compression', jointTypes: [], whereFuelIsSpilled: true },
    ],
    prices: [{ sealantClass: 'preformed-compression', jointType: 'isolation', costPerM: 30 }],
  });
  const { allows, costPerM } = classChoice(inputs, onRecord);
  expect(allows('polysulfide', joint('isolation'))).toBe(true);
  expect(allows('polysulfide', joint('isolation', true))).toBe(false);
  expect(allows('polysulfide', joint('longitudinal'))).toBe(false);
  expect(allows('preformed-compression', joint('isolation', true))).toBe(true);
  expect(allows('preformed-compression', joint('longitudinal'))).toBe(false);
  expect(allows('silicone-non-sag', joint('isolation'))).toBe(false);
  expect([costPerM('preformed-compression', 'isolation'), costPerM('polysulfide', 'isolation')]).toEqual([30, 15]);
});

test('a segment held back by itself does not follow its facility', () => {
  const heldBack = [
    { segmentId: null, facilityId: 'A', pavementYear: 2030, yearsBefore: 3 },
    { segmentId: 'S2', facilityId: null, pavementYear: 2040, yearsBefore: 5 },
  ];
  const from = heldBackFrom(heldBack);
  expect([from('S1', 'A'), from('S2', 'A'), from('S2', 'B'), from('S3', 'B')]).toEqual([2027, 2035, 2035, null]);
  const segments = ['S1', 'S2', 'S3'].map((id, i) => ({ id, facilityId: i < 2 ? 'A' : 'B' }));
  const { replacedInYear, heldBackYears } = heldBackSegments(heldBack, segments, 2026);
  expect([[...replacedInYear], [...heldBackYears]]).toEqual([
    [4, 14, -1],
    [3, 5, 0],
  ]);
});
