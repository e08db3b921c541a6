import fc from 'fast-check';
import { expect, test } from 'vitest';
import writeExcelFile from 'write-excel-file/node';
import { districtSums } from '../../../../server/exports/report/district-sums.ts';
import { lengthScale, moneyScale } from '../../../../server/exports/report/figure-words.ts';
import { evenTicks } from '../../../../server/exports/report/report-chart.ts';
import { printable } from '../../../../server/exports/report/report-pages.ts';
import { yearColour } from '../../../../server/exports/report/year-colours.ts';
import { datedZip } from '../../../../server/exports/zip-dates.ts';
import { sampleReport } from '../programs/sample-report.ts';
import { sheetRows, unzip } from './unzip.ts';

test('ticks are even, begin at 0, reach the largest value and no further step', () => {
  fc.assert(
    fc.property(fc.double({ min: 1e-3, max: 1e9, noNaN: true }), (largest) => {
      const ticks = evenTicks(largest);
      const step = ticks[1];
      expect(ticks[0]).toBe(0);
      expect(ticks.length).toBeLessThanOrEqual(6);
      expect(ticks[ticks.length - 1]).toBeGreaterThanOrEqual(largest * (1 - 1e-9));
      expect(ticks[ticks.length - 2]).toBeLessThan(largest);
      const leading = step / 10 ** Math.floor(Math.log10(step) + 1e-9);
      expect([1, 2, 2.5, 5, 10].some((each) => Math.abs(each - leading) < 1e-6)).toBe(true);
    }),
    { seed: 1, numRuns: 300 },
  );
  expect(evenTicks(0)).toEqual([0]);
});

test('figures stand in units that fit the largest of them', () => {
  expect(moneyScale('USD', 59e6).say(3_000_000)).toBe('3.00');
  expect([moneyScale('USD', 30_000).unit, moneyScale('USD', 30_000).say(1234)]).toEqual(['USD thousand', '1.2']);
  expect([moneyScale('EUR', 900).unit, moneyScale('EUR', 900).say(899.6)]).toEqual(['EUR', '900']);
  // 1 mi = 1,609.344 m, exactly.
  expect([lengthScale('us').say(16_093.44), lengthScale('si').say(16_093.44)]).toEqual(['10.0', '16.1']);
});

test('colours of the years go from dark to light, evenly', () => {
  const light = (hex: string) =>
    [1, 3, 5].reduce((sum, at, k) => sum + Number.parseInt(hex.slice(at, at + 2), 16) * [0.299, 0.587, 0.114][k], 0);
  const lights = Array.from({ length: 20 }, (_, y) => light(yearColour(y, 20)));
  for (let y = 1; y < 20; y++) expect(lights[y]).toBeGreaterThan(lights[y - 1]);
  expect(yearColour(0, 1)).toBe('#440154');
});

test('what the built-in fonts cannot print is marked, the rest stays', () => {
  expect(printable('Straße 5 – “A”, 10 €, naïve')).toBe('Straße 5 – “A”, 10 €, naïve');
  expect(printable('路 İ \u202e')).toBe('? ? ?');
});

test('sums of districts add up to the program, the dearest first', () => {
  const program = sampleReport();
  const sums = districtSums(program);
  expect(sums.map(({ district }) => district)).toEqual(['North', 'South']);
  const all = program.districts.reduce((sum, { cost }) => sum + cost.median, 0);
  expect(sums.reduce((sum, { cost }) => sum + cost, 0)).toBeCloseTo(all, 6);
  expect(sums[0].last).toEqual(program.districts[4].failedShare);
});

test('a workbook packed at another moment is the same bytes once it is dated', async () => {
  const packed = async () => (await writeExcelFile([['a', 1.5]], { sheet: 'One' })).toBuffer();
  const [first, second] = [await packed(), await packed()];
  // The moment of packing stands in the archive to two seconds: put another one there.
  second.writeUInt16LE(0x1234, second.readUInt32LE(second.length - 6) + 12);
  expect(second.equals(first)).toBe(false);
  const dated = datedZip(first, '2026-07-01');
  expect(datedZip(second, '2026-07-01').equals(dated)).toBe(true);
  expect([...sheetRows(unzip(dated), 1)[0]]).toEqual([
    ['A', 'a'],
    ['B', 1.5],
  ]);
  // Year since 1980, month, day in 7, 4 and 5 bits: (46 << 9) | (7 << 5) | 1.
  expect(dated.readUInt16LE(12)).toBe(23_777);
  expect(() => datedZip(Buffer.from('PK'), '2026-07-01')).toThrow(RangeError);
});
