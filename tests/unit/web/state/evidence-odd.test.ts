import { describe, expect, test } from 'vitest';
import type { LevelEffect, OddGrouping, OddLevel } from '../../../../server/schemas/evidence-odd.ts';
import { levelLink, levelsShown, readOddList, segmentsLink } from '../../../../web/state/evidence-odd.ts';
import { readFilter, readList } from '../../../../web/state/filter.ts';

const level = (name: string, lifeRatio: number | null): LevelEffect => ({
  level: name,
  label: name,
  effect: lifeRatio === null ? null : Math.log(lifeRatio),
  standardError: 0.1,
  lifeRatio,
  lifeRatioLower: lifeRatio,
  lifeRatioUpper: lifeRatio,
  shorterChance: 0.5,
  seals: 10,
  failures: 5,
  expectedFailures: 5,
  observedToExpected: 1,
  observedToExpectedLower: 0.5,
  observedToExpectedUpper: 2,
  countChance: 1,
  sentence: '',
});
const odd = (name: string, lifeRatio: number, segmentIds: string[]): OddLevel => ({
  ...level(name, lifeRatio),
  grouping: 'lot',
  direction: lifeRatio < 1 ? 'fails early' : 'lasts long',
  falseDiscoveryShare: 0.01,
  wrongSideChance: 0.01,
  segments: segmentIds.length,
  segmentIds,
});
const pickedBy = (address: string): string[] =>
  readList(readFilter(new URL(address, 'http://127.0.0.1').searchParams), 'segmentIds');

describe('links of a list', () => {
  test('map and table keep exactly the listed segments, whatever is in their names', () => {
    const ids = ['A-1', 'B,2', '50% C', 'D&E=F', 'Ä 7'];
    const link = segmentsLink(ids);
    expect(pickedBy(link.map)).toEqual(ids);
    expect(pickedBy(link.table)).toEqual(ids);
    expect(link.held).toBe(5);
  });

  test('a list too long for an address says how many of it are kept', () => {
    const ids = Array.from({ length: 500 }, (_, i) => `segment with a long, long name ${i}`);
    const link = segmentsLink(ids);
    expect(link.held).toBeLessThan(500);
    expect(pickedBy(link.table)).toEqual(ids.slice(0, link.held));
    expect(link.table.length).toBeLessThan(12_000);
  });

  test('a facility or district is opened by its own filter, with all that it holds', () => {
    const north = odd('North, upper', 0.5, ['S1']);
    const address = new URL(levelLink('district', north).table, 'http://127.0.0.1');
    expect(readList(readFilter(address.searchParams), 'district')).toEqual(['North, upper']);
    expect(pickedBy(levelLink('lot', north).map)).toEqual(['S1']);
  });
});

test('a picture has all that are named and the furthest of the rest, shortest life first', () => {
  const grouping: OddGrouping = {
    ...{ name: 'lot', sentence: '', sd: null, sdLower: null, sdUpper: null, judged: 4, thin: 1, unknownSeals: 0 },
    odd: [odd('early', 0.5, []), odd('late', 1.6, [])],
    levels: [level('early', 0.5), level('near', 1.01), level('far', 1.3), level('unknown', null), level('late', 1.6)],
  };
  expect(levelsShown(grouping, 3).map(({ level: name, flagged }) => [name, flagged])).toEqual([
    ['early', true],
    ['far', false],
    ['late', true],
  ]);
});

test('an address without a list, or with one that there is not, shows the first', () => {
  expect(readOddList(null)).toBe('lot');
  expect(readOddList('early')).toBe('early');
  expect(readOddList('crew')).toBe('lot');
});
