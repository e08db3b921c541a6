import { describe, expect, test } from 'vitest';
import { inspectorNames, packReadings, sealReadings } from '../../../../analytics/condition/share-lists.ts';
import { readingRules, readSegment } from '../../../../server/forecasting/network.ts';
import type { Inspection } from '../../../../server/schemas/inspection.ts';
import type { Settings } from '../../../../server/schemas/settings.ts';
import { facility, inspection, seal, segment } from '../../server/store/sample-records.ts';

const SETTINGS = { failureThresholdShare: 0.1, inspectionMethod: 'joint-length' } as Settings;

function readingsOf(looks: Partial<Inspection>[], installed = ['2010-06-01', '2010-06-01']) {
  const { geometry: _drawn, ...rest } = segment('S1');
  const [installedFrom, installedTo] = installed;
  const history = {
    segment: { ...rest, lon: -97, lat: 35 },
    facility: facility('A', { recordsFrom: null }),
    seals: [seal('k', { installedFrom, installedTo })],
    inspections: looks.map((look, i) => inspection(`i${i}`, look)),
  };
  const rules = readingRules(history, SETTINGS, '2026-06-01');
  const [observed] = readSegment(history, rules).seals;
  return sealReadings(history.seals[0], observed, history.inspections, rules.inspectionMethod);
}

describe('damaged shares of a seal', () => {
  test('are those by the method of the network, in order, each with who took it', () => {
    const found = readingsOf([
      { inspectedOn: '2020-06-01', damagedShare: 0.04, inspector: 'B' },
      { inspectedOn: '2016-06-01', damagedShare: 0, inspector: null },
      { inspectedOn: '2018-06-01', damagedShare: 0.5, method: 'sample-unit', inspector: 'C' },
    ]);
    expect(found.map(({ share, inspector }) => [share, inspector])).toEqual([
      [0, null],
      [0.04, 'B'],
    ]);
    expect(found[1].ageYears).toBeCloseTo((10 * 365 + 3) / 365.25, 12);
    expect(found[1].ageSdYears).toBe(0);
  });

  test('of one day are one, the worse, with its inspector', () => {
    const day = '2020-06-01';
    const found = readingsOf([
      { inspectedOn: day, damagedShare: 0.02, inspector: 'A' },
      { inspectedOn: day, damagedShare: 0.05, inspector: 'B' },
    ]);
    expect(found.map(({ share, inspector }) => [share, inspector])).toEqual([[0.05, 'B']]);
  });

  test('have an age as uncertain as the installation: an even spread over a year has SD 1 / sqrt(12)', () => {
    const [found] = readingsOf([{ inspectedOn: '2020-06-01', damagedShare: 0.02 }], ['2010-01-01', '2010-12-31']);
    expect(found.ageSdYears).toBeCloseTo(364 / 365.25 / Math.sqrt(12), 12);
  });

  test('that contradict each other are not used', () => {
    const looks = [0, 0.4, 0].map((damagedShare, i) => ({ inspectedOn: `201${4 + 2 * i}-06-01`, damagedShare }));
    expect(readingsOf(looks)).toEqual([]);
  });
});

test('readings are packed row after row, and a name that the model does not know is nobody', () => {
  const reading = (share: number, inspector: string | null) => ({ ageYears: 5, ageSdYears: 0.1, share, inspector });
  const lists = [[reading(0.01, 'Z'), reading(0.02, 'A')], [], [reading(0.03, null), reading(0.04, 'new')]];
  expect(inspectorNames(lists)).toEqual(['A', 'Z', 'new']);
  expect(packReadings(lists, ['A', 'Z'])).toEqual({
    readingStart: Int32Array.of(0, 2, 2, 4),
    readingAge: Float64Array.of(5, 5, 5, 5),
    readingAgeSd: Float64Array.of(0.1, 0.1, 0.1, 0.1),
    readingShare: Float64Array.of(0.01, 0.02, 0.03, 0.04),
    readingInspector: Int32Array.of(1, 0, -1, -1),
  });
});
