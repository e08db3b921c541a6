import { expect, test } from 'vitest';
import {
  formatCount,
  formatDay,
  formatDayRange,
  formatInterval,
  formatLength,
  formatLengthInterval,
  formatLengthRange,
  formatMoney,
  formatNumber,
  formatShare,
  formatWidth,
  formatYear,
  formatYearRange,
} from '../../../../web/state/format.ts';

/** Values and units are joined by a no-break space; here it is written as a plain one. */
const plain = (text: string) => text.replaceAll('\u00a0', ' ');

test('what is not known is a dash: never 0, never blank', () => {
  for (const text of [
    formatNumber(null),
    formatNumber(Number.NaN),
    formatLength(null, 'si'),
    formatShare(undefined),
    formatDay(null),
  ]) {
    expect(text).toBe('–');
  }
});

test('lengths carry their unit and only the digits that mean something', () => {
  expect(plain(formatLength(46, 'si'))).toBe('46 m');
  expect(plain(formatLength(4.6, 'si'))).toBe('4.6 m');
  expect(plain(formatLength(1_358_000, 'si'))).toBe('1,358 km');
  expect(plain(formatLength(12_345, 'si'))).toBe('12.3 km');
  expect(plain(formatLength(3048, 'us'))).toBe('10,000 ft');
  expect(plain(formatWidth(12.7, 'us'))).toBe('0.50 in');
  expect(plain(formatWidth(9.5, 'si'))).toBe('9.5 mm');
});

test('an interval is in one unit, that of its upper end', () => {
  expect(plain(formatLengthInterval({ median: 9000, lower: 4000, upper: 20_000 }, 'si'))).toBe('9.0 km (4.0 to 20.0)');
  expect(plain(formatInterval({ median: 12.34, lower: 10, upper: 15.06 }, 1, 'years'))).toBe(
    '12.3 (10.0 to 15.1) years',
  );
  expect(plain(formatLengthInterval({ median: 0, lower: 0, upper: 0 }, 'si'))).toBe('0 m (0 to 0)');
});

test('the ends of an interval of lengths stand in one unit', () => {
  expect(plain(formatLengthRange({ lower: 4000, upper: 20_000 }, 'si'))).toBe('4.0 to 20.0 km');
  expect(plain(formatLengthRange({ lower: 160_934.4, upper: 482_803.2 }, 'us'))).toBe('100 to 300 mi');
  expect(plain(formatLengthRange({ lower: 0, upper: 0 }, 'si', 1000))).toBe('0 to 0 m');
});

test('nearly none does not read as none, nor nearly all as all', () => {
  expect(plain(formatShare(0.9956))).toBe('>99 %');
  expect(plain(formatShare(1))).toBe('100 %');
  expect(plain(formatShare(0))).toBe('0 %');
  expect(plain(formatShare(0.0004))).toBe('<0.1 %');
  expect(plain(formatShare(0.034))).toBe('3.4 %');
  expect(plain(formatShare(0.97))).toBe('97 %');
});

test('an installation range keeps the precision that was recorded', () => {
  expect(formatDayRange('2012-06-03', '2012-06-03')).toBe('3 Jun 2012');
  expect(formatDayRange('2012-06-01', '2012-06-30')).toBe('in Jun 2012');
  expect(formatDayRange('2012-01-01', '2012-12-31')).toBe('in 2012');
  expect(formatDayRange('2010-01-01', '2012-12-31')).toBe('2010 to 2012');
  expect(formatDayRange('2012-06-03', '2012-08-09')).toBe('3 Jun 2012 to 9 Aug 2012');
});

test('a failure date too far ahead is said in words', () => {
  expect(formatYear(2031.97)).toBe('2031');
  expect(formatYearRange(2030.2, 2041.9)).toBe('2030 to 2041');
  expect(formatYearRange(2060.1, null)).toBe('2060 to over 100 years');
  expect(formatYearRange(null, null)).toBe('more than 100 years ahead');
});

test('money and counts read as a person writes them', () => {
  expect(formatMoney(1_234_567.8, 'USD')).toBe('$1,234,568');
  expect(formatMoney(3.5, 'EUR', 2)).toBe('€3.50');
  expect(formatCount(1, 'segment')).toBe('1 segment');
  expect(formatCount(2031, 'segment')).toBe('2,031 segments');
});
