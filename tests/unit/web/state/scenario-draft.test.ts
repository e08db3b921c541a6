import { describe, expect, test } from 'vitest';
import { draftScenario, type ScenarioDraft } from '../../../../web/state/scenario-draft.ts';
import { MONEY, parseAmount, readNumber } from '../../../../web/state/scenario-numbers.ts';
import { placeServerProblems, readScenario } from '../../../../web/state/scenario-read.ts';
import { horizonYears, spreadOverYears } from '../../../../web/state/scenario-years.ts';
import { FULL_INPUTS, PLAIN_INPUTS } from './scenario-inputs.ts';

const changed = (part: Partial<ScenarioDraft>, inputs = PLAIN_INPUTS, units: 'si' | 'us' = 'si') =>
  readScenario({ ...draftScenario(inputs, units), ...part }, inputs);

describe('amounts as people write them', () => {
  test.each([
    ['2500000', 2_500_000],
    ['2,500,000', 2_500_000],
    ['2 500 000', 2_500_000],
    ['1,250', 1250],
    ['12.50', 12.5],
    ['0', 0],
  ])('%s is read', (text, amount) => expect(parseAmount(text)).toBe(amount));

  test.each(['', 'abc', '1,25', '12,50', '1,2500', '2,500 000', '1e6', '1.2.3', ',500'])(
    '%j is refused, not guessed at',
    (text) => expect(parseAmount(text)).toBeNull(),
  );

  test('a negative amount is outside what is allowed, and the message says what is', () => {
    expect(readNumber('-5', MONEY)).toEqual({ problem: expect.stringContaining('0 or more') });
  });
});

describe('a scenario as typed', () => {
  test.each([
    ['si', FULL_INPUTS],
    ['us', FULL_INPUTS],
    ['si', PLAIN_INPUTS],
    ['us', PLAIN_INPUTS],
  ] as const)('what was not touched is saved with every digit, in %s', (units, inputs) => {
    expect(readScenario(draftScenario(inputs, units), inputs)).toEqual({ inputs, problems: {} });
  });

  test('lengths and prices typed in feet are stored in metres: the foot is 0.3048 m exactly', () => {
    const { inputs, problems } = changed(
      {
        crewCapacity: '10,000',
        prices: [{ sealantClass: 'polysulfide', jointType: 'any', cost: '3.048', stored: null }],
      },
      PLAIN_INPUTS,
      'us',
    );
    expect(problems).toEqual({});
    expect(inputs.crewCapacityMPerYear).toBeCloseTo(3048, 9);
    expect(inputs.prices[0].costPerM).toBeCloseTo(10, 12);
  });

  test('per cent become shares without binary dust', () => {
    const { inputs } = changed({
      escalation: '3.1',
      targets: [{ scope: 'network', name: '', fromYear: '', atMost: '7.7' }],
    });
    expect([inputs.escalationPerYear, inputs.targets[0].atMostShare]).toEqual([0.031, 0.077]);
  });

  test('an empty year is as every year, and "none" means no limit in it', () => {
    const { inputs, problems } = changed({
      everyYear: '1,000,000',
      byYear: { 2029: 'none', 2027: '500000', 2028: ' ' },
    });
    expect(problems).toEqual({});
    expect(inputs.budgets.byYear).toEqual([
      { year: 2027, atMost: 500_000 },
      { year: 2029, atMost: null },
    ]);
  });

  test('a kind of facility with one of its two costs has 0 for the other; without either it has no row', () => {
    const draft = draftScenario(PLAIN_INPUTS, 'si');
    const { inputs } = changed({
      kinds: { ...draft.kinds, bridge: { mobilisation: '900', trafficControl: '', openJoint: '' } },
    });
    expect(inputs.mobilisation).toEqual([{ facilityKind: 'bridge', mobilisationCost: 900, trafficControlCost: 0 }]);
    expect(inputs.openJointCost).toEqual([]);
  });

  test('each fault is told at its field, with what is allowed', () => {
    const { problems } = changed({
      horizonYears: '41',
      question: 'least-budget',
      everyYear: 'much',
      byYear: { 2028: '1,25' },
      districts: [
        { district: '', year: '', atLeast: '5', atMost: '4' },
        { district: 'North', year: '', atLeast: '', atMost: '' },
      ],
      chooseClasses: true,
      classes: [],
      crewCapacity: '0',
    });
    expect(problems).toMatchObject({
      horizonYears: expect.stringContaining('1 to 40'),
      targets: expect.stringContaining('add one'),
      'budgets.everyYear': expect.stringContaining('amount'),
      'budgets.byYear.2028': expect.stringContaining('amount'),
      'districts.0.district': expect.any(String),
      'districts.0.atLeast': expect.stringContaining('above the ceiling'),
      'districts.1.atMost': expect.stringContaining('floor'),
      allowedClasses: expect.any(String),
      crewCapacityMPerYear: expect.stringContaining('above 0'),
    });
  });

  test('the same class and joint type twice is refused at the second', () => {
    const price = { sealantClass: 'polysulfide', jointType: 'any', cost: '5', stored: null } as const;
    expect(Object.keys(changed({ prices: [price, price] }).problems)).toEqual(['prices.1.jointType']);
  });
});

test('refusals of the server go beside their fields; what has none is kept apart', () => {
  const found = 'x';
  const expected = 'y';
  const at = (field: string) => ({ field, found, expected });
  const { problems, others } = placeServerProblems(
    [
      at('body.inputs.horizonYears'),
      at('body.inputs.budgets.everyYear'),
      at('body.inputs.budgets.byYear.1.atMost'),
      at('body.inputs.budgets.districts.0.district'),
      at('body.inputs.mobilisation.1.trafficControlCost'),
      at('body.inputs.openJointCost.0.costPerMYear'),
      at('body.inputs.committed.0.segmentId'),
      at('header.If-Match'),
    ],
    FULL_INPUTS,
  );
  expect(Object.keys(problems)).toEqual([
    'horizonYears',
    'budgets.everyYear',
    'budgets.byYear.2029',
    'districts.0.district',
    'kinds.runway.trafficControl',
    'kinds.any.openJoint',
    'committed.0.segmentId',
  ]);
  expect(problems.horizonYears).toBe('Is x; expected y.');
  expect(others).toEqual(['header.If-Match is x; expected y.']);
});

describe('years of the form', () => {
  test('a horizon that is not yet typed draws twenty years', () => {
    expect(horizonYears({ horizonYears: '3' }, 2026)).toEqual([2026, 2027, 2028]);
    expect(horizonYears({ horizonYears: '' }, 2026)).toHaveLength(20);
    expect(horizonYears({ horizonYears: '900' }, 2026)).toHaveLength(20);
  });

  test('a pasted column fills the years from the one it was put into; what is beyond the last is left out', () => {
    const years = [2026, 2027, 2028];
    expect(spreadOverYears('100\r\n200\r\n300\r\n', years, 2027)).toEqual({ 2027: '100', 2028: '200' });
    expect(spreadOverYears('100\t200', years, 2026)).toEqual({ 2026: '100', 2027: '200' });
    expect(spreadOverYears('100\n', years, 2026)).toBeNull();
  });
});
