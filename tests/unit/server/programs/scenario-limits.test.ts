import { expect, test } from 'vitest';
import { scenarioLimits, scenarioTargets } from '../../../../server/programs/scenario-limits.ts';
import { sampleInputs } from '../store/sample-program.ts';

const terms = {
  ...{ planningYear: 2026, priceYear: 2025, escalationPerYear: 0.25 },
  ...{ discountRatePerYear: 0.04, priceLogSd: 0.1 },
};
const inputs = sampleInputs({
  horizonYears: 3,
  budgets: {
    moneyOf: 'each-year',
    everyYear: 1000,
    byYear: [{ year: 2027, atMost: null }],
    districts: [
      { district: 'South', year: null, atLeast: 125, atMost: 500 },
      { district: 'South', year: 2028, atLeast: null, atMost: 250 },
    ],
  },
  crewCapacityMPerYear: 900,
});

/** Money is asked for a millionth more strictly than it is given. */
const near = (money: number) => expect.closeTo(money, 2);

test('budgets of each year become constant money: by hand, 1.25 a year from the price year on', () => {
  const limits = scenarioLimits(inputs, ['North', 'South'], terms);
  const network = limits.filter(({ of, district }) => of === 'money' && district === null);
  // 1000 / 1.25 in 2026; no limit in 2027; 1000 / 1.25^3 in 2028.
  expect(network.map(({ year, atMost }) => [year, atMost])).toEqual([
    [0, near(800)],
    [2, near(512)],
  ]);
  const constant = scenarioLimits(
    { ...inputs, budgets: { ...inputs.budgets, moneyOf: 'price-year' } },
    ['North', 'South'],
    terms,
  );
  expect(constant.find(({ of, district }) => of === 'money' && district === null)?.atMost).toEqual(near(1000));
});

test('a row of one year takes the place of a district’s row of every year', () => {
  const south = scenarioLimits(inputs, ['North', 'South'], terms).filter(({ district }) => district === 1);
  expect(south.map(({ year, atLeast, atMost }) => [year, atLeast, atMost])).toEqual([
    [0, near(100), near(400)],
    [1, near(80), near(320)],
    [2, null, near(128)],
  ]);
});

test('crew capacity holds in every year, in metres', () => {
  const crew = scenarioLimits(inputs, [], terms).filter(({ of }) => of === 'length');
  expect(crew.map(({ year, district, atMost }) => [year, district, atMost])).toEqual([
    [0, null, 900],
    [1, null, 900],
    [2, null, 900],
  ]);
});

test('a target holds from its first year on, for the part that it names', () => {
  const targets = scenarioTargets(
    {
      horizonYears: 3,
      targets: [
        { scope: 'facility-kind', name: 'runway', fromYear: 2027, atMostShare: 0.05 },
        { scope: 'network', name: null, fromYear: null, atMostShare: 0.1 },
      ],
    },
    { districts: [], facilityKinds: ['highway', 'runway'] },
    terms,
  );
  expect(targets.map(({ scope, index, year, atMostShare }) => [scope, index, year, atMostShare])).toEqual([
    ['facility-kind', 1, 1, 0.05],
    ['facility-kind', 1, 2, 0.05],
    ['network', 0, 0, 0.1],
    ['network', 0, 1, 0.1],
    ['network', 0, 2, 0.1],
  ]);
  expect(targets[0].name).toBe('the failed share of runway at the end of 2027');
});
