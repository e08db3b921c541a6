import { describe, expect, test } from 'vitest';
import type { CalibrationRow, GroupForecast, MethodReport } from '../../../../server/schemas/evidence-backtest.ts';
import { calibrationRows, coverageRows, isOutside } from '../../../../web/state/evidence-calibration.ts';

const tenth: CalibrationRow = {
  label: '0.2 to 0.3',
  trials: 200,
  found: 60,
  expected: 50,
  foundShare: 0.3,
  forecastShare: 0.25,
  chanceRange: { lower: 0.21, upper: 0.29 },
  lengthM: 1_000,
  foundLengthM: 200,
  expectedLengthM: 240,
  foundLengthShare: 0.2,
  forecastLengthShare: 0.24,
  lengthChanceRange: { lower: 0.18, upper: 0.3 },
};
const group: GroupForecast = {
  ...tenth,
  label: 'polysulfide',
  within80: { lower: 40, upper: 62 },
  within95: { lower: 35, upper: 68 },
  lengthWithin80M: { lower: 150, upper: 300 },
};
const method: MethodReport = {
  name: 'model',
  scores: null,
  total: null,
  tenths: [tenth],
  byClass: [group],
  byDistrict: [{ ...group, label: 'North' }],
  byZone: [{ ...group, label: 'dry-freeze' }],
  byCutoff: [{ ...group, label: '2019-12-31' }],
  cells: null,
  lifeIntervals: [],
};

describe('forecast against found', () => {
  test('a tenth stands against chance alone', () => {
    const [row] = calibrationRows(method, 'tenth', 'looks');
    expect(row).toMatchObject({ forecast: 0.25, found: 0.3, lower: 0.21, upper: 0.29, trials: 200, foundAmount: 60 });
    expect(isOutside(row)).toBe(true);
  });

  test('a group stands against the interval of its forecast, as a share of its looks', () => {
    const [row] = calibrationRows(method, 'class', 'looks');
    expect(row).toMatchObject({ label: 'Polysulfide', lower: 0.2, upper: 0.31 });
    expect(isOutside(row)).toBe(false);
  });

  test('counted by length, shares and amounts are of length', () => {
    const [row] = calibrationRows(method, 'class', 'length');
    expect(row).toMatchObject({
      forecast: 0.24,
      found: 0.2,
      lower: 0.15,
      upper: 0.3,
      foundAmount: 200,
      totalAmount: 1_000,
    });
  });

  test.each([
    ['district', 'North'],
    ['zone', 'Dry, freeze'],
    ['cutoff', '31 Dec 2019'],
  ] as const)('by %s the rows have names to read', (by, label) => {
    expect(calibrationRows(method, by, 'looks').map((row) => row.label)).toEqual([label]);
  });
});

test('coverage lists groups, lengths and lives, and leaves out what there is none of', () => {
  const all = { label: 'all', count: 10, share: 0.8, lower: 0.7, upper: 0.9, wholly: 0.75 };
  expect(coverageRows(null, [all])).toEqual([{ ...all, label: 'All', what: 'single lives' }]);
  const rows = coverageRows({ counts: [all], lengths: [all] }, [{ ...all, label: 'polysulfide' }]);
  expect(rows.map(({ what, label }) => `${what}: ${label}`)).toEqual([
    'failures in a group: All',
    'length in a group: All',
    'single lives: Polysulfide',
  ]);
});
