import { describe, expect, test } from 'vitest';
import { climateZone } from '../../../../analytics/climate/climate-zone.ts';
import {
  designFreezingIndexCDays,
  fDaysOfCDays,
  freezingIndexCDays,
  sumOfFreezingDegreeDays,
} from '../../../../analytics/climate/freezing-index.ts';
import winters from '../../../reference/climate/minnesota-winters.json' with { type: 'json' };

describe('freezing index', () => {
  test('21 published winters agree between Celsius and Fahrenheit within 1 °F-day', () => {
    winters.cDays.forEach((cDays, i) => {
      expect(Math.abs(fDaysOfCDays(cDays) - winters.fDays[i])).toBeLessThanOrEqual(1);
    });
    expect(winters.cDays.reduce((sum, value) => sum + value, 0) / 21).toBeCloseTo(1009.1, 1);
  });

  test('design index: three coldest of the latest 30, else the coldest of the latest ten', () => {
    // The three coldest published winters, 1477, 1331 and 1274, have a mean of 1,360.7 °C-days or 2,449 °F-days.
    const thirty = [...Array<number>(9).fill(400), ...winters.cDays];
    expect(designFreezingIndexCDays(thirty)).toBeCloseTo(1360.7, 1);
    expect(fDaysOfCDays(designFreezingIndexCDays(thirty) ?? 0)).toBeCloseTo(2449, 0);
    expect(designFreezingIndexCDays([5000, ...thirty])).toBeCloseTo(1360.7, 1);
    // The latest ten begin with 1980-81; the coldest of them is 1227.
    expect(designFreezingIndexCDays(winters.cDays)).toBe(1227);
    expect(designFreezingIndexCDays([])).toBeNull();
  });

  test('a thaw inside the winter counts against the index, not against the sum of negatives', () => {
    const means = [5, -10, -10, 4, -10, 8];
    expect(freezingIndexCDays(means)).toBe(26);
    expect(sumOfFreezingDegreeDays(means)).toBe(30);
    expect(freezingIndexCDays([-3, -2, 9, -1])).toBe(5);
    expect(freezingIndexCDays([1, 2, 3])).toBe(0);
  });
});

describe('climate zones (LTPP, from memory)', () => {
  test('limits are 83.3 °C-days (150 °F-days) and 508 mm (20 in); at a limit it is nonfreeze or dry', () => {
    expect(fDaysOfCDays(83.3)).toBeCloseTo(150, 0);
    expect(20 * 25.4).toBeCloseTo(508, 9);
    expect(climateZone(83.3, 508)).toBe('dry-nonfreeze');
    expect(climateZone(83.4, 508)).toBe('dry-freeze');
    expect(climateZone(83.3, 508.1)).toBe('wet-nonfreeze');
    expect(climateZone(400, 900)).toBe('wet-freeze');
  });
});
