import { expect, test } from 'vitest';
import {
  lengthInUnits,
  pricePerLength,
  pricePerM,
  readUnits,
  temperatureInUnits,
  widthInUnits,
} from '../../../../web/state/units.ts';

// NIST Special Publication 811 (2008), appendix B: 1 ft = 0.3048 m, 1 in = 25.4 mm, 1 mi = 1.609 344 km, all exact.
test('lengths, widths and temperatures follow the exact factors of NIST SP 811', () => {
  expect(lengthInUnits(3048, 'us')).toEqual({ value: 10_000, unit: 'ft' });
  expect(lengthInUnits(16_093.44, 'us')).toEqual({ value: 10, unit: 'mi' });
  expect(widthInUnits(12.7, 'us')).toEqual({ value: 0.5, unit: 'in' });
  expect(temperatureInUnits(-40, 'us').value).toBe(-40);
  expect(temperatureInUnits(100, 'us')).toEqual({ value: 212, unit: '°F' });
});

test('SI values are shown as they are stored, long ones in km', () => {
  expect(lengthInUnits(820, 'si')).toEqual({ value: 820, unit: 'm' });
  expect(lengthInUnits(12_500, 'si')).toEqual({ value: 12.5, unit: 'km' });
  expect(widthInUnits(9.5, 'si')).toEqual({ value: 9.5, unit: 'mm' });
});

test('a price of a metre costs 0.3048 as much for a foot, and back', () => {
  expect(pricePerLength(10, 'us')).toEqual({ value: 3.048, unit: 'per ft' });
  expect(pricePerM(3.048, 'us')).toBeCloseTo(10, 12);
  expect(pricePerM(10, 'si')).toBe(10);
});

test('only "us" means US customary units', () => {
  expect([null, 'si', 'US', 'us'].map(readUnits)).toEqual(['si', 'si', 'si', 'us']);
});
