import { expect, test } from 'vitest';
import type { Inspection } from '../../../../../server/schemas/inspection.ts';
import type { Seal } from '../../../../../server/schemas/seal.ts';
import { historyEvents, historyMarks } from '../../../../../web/views/card/history.ts';

const seal = (id: string, installedFrom: string, installedTo: string, removedOn: string | null = null): Seal => ({
  id,
  segmentId: 'A-1',
  sealantClass: 'polysulfide',
  specification: null,
  installedFrom,
  installedTo,
  installedAtC: null,
  widthMm: null,
  recessMm: null,
  beadDepthMm: null,
  backerRodDiameterMm: null,
  preparation: 'unknown',
  lot: null,
  removedOn,
  removalReason: removedOn === null ? null : 'failed',
});
const inspection = (
  inspectedOn: string,
  damagedShare: number,
  method: Inspection['method'] = 'joint-length',
): Inspection => ({
  id: inspectedOn,
  segmentId: 'A-1',
  inspectedOn,
  method,
  inspector: null,
  damagedShare,
  damageShares: {},
  severity: null,
  notes: null,
  photographs: [],
});

const card = {
  seals: [seal('1', '2005-01-01', '2005-12-31', '2016-04-02'), seal('2', '2016-04-03', '2016-04-03')],
  inspections: [
    inspection('2010-06-01', 0.02),
    inspection('2013-06-01', 0.05, 'sample-unit'),
    inspection('2015-06-01', 0.2),
    inspection('2019-06-01', 0.01),
  ],
};

test('the history lists everything that happened, oldest first', () => {
  expect(historyEvents(card).map(({ from, what }) => `${from} ${what}`)).toEqual([
    '2005-01-01 Sealed: Polysulfide',
    '2010-06-01 Inspected',
    '2013-06-01 Inspected',
    '2015-06-01 Inspected',
    '2016-04-02 Removed: failed',
    '2016-04-03 Sealed: Polysulfide',
    '2019-06-01 Inspected',
  ]);
});

test('only inspections of one seal by one method are joined by a line', () => {
  const strings = historyMarks(card).strings.map(({ string }) => string);
  expect(strings[0]).toBe(strings[2]); // joint length, first seal
  expect(new Set(strings).size).toBe(3); // the other method, and the second seal, stand apart
});

test('the usual method is drawn with circles, another with squares', () => {
  expect(historyMarks(card).sights.map(({ symbol }) => symbol)).toEqual(['circle', 'square', 'circle', 'circle']);
});

test('an installation known to a year spans that year and is marked at its middle', () => {
  const [first] = historyMarks(card).installs;
  expect(first.middle.toISOString().slice(0, 7)).toBe('2005-07');
  expect(+first.to - +first.from).toBe(364 * 86_400_000);
});
