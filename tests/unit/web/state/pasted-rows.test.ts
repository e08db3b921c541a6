import { parse } from 'csv-parse/sync';
import { expect, test } from 'vitest';
import { committedKey, mergeRows, readCommitted, readHeldBack } from '../../../../web/state/pasted-rows.ts';

const cells = (text: string): string[][] =>
  parse(text, { delimiter: [',', '\t', ';'], relax_column_count: true, trim: true }) as string[][];

test('committed work is read with named columns in any order, or without names in the usual one', () => {
  const rows = [
    { segmentId: 'A-1', year: 2027, sealantClass: 'polysulfide' },
    { segmentId: 'A-2', year: 2028, sealantClass: null },
  ];
  expect(readCommitted(cells('Year,Sealant class,Segment ID\n2027,polysulfide,A-1\n2028,,A-2'))).toEqual({
    rows,
    problems: [],
  });
  expect(readCommitted(cells('A-1\t2027\tPolysulfide\nA-2\t2028'))).toEqual({ rows, problems: [] });
});

test('a line that cannot be read is named with what is allowed; the others are taken', () => {
  const { rows, problems } = readCommitted(
    cells('segmentId,year,sealantClass\nA-1,27,\n,2028,\nA-3,2029,tar\nA-4,2030,'),
  );
  expect(rows).toEqual([{ segmentId: 'A-4', year: 2030, sealantClass: null }]);
  expect(problems.map(({ line, message }) => [line, message.split(';')[0]])).toEqual([
    [2, 'year is 27'],
    [3, 'segmentId is empty'],
    [4, 'sealantClass is tar'],
  ]);
});

test('what is held back may be a segment or a facility; without names the key of a facility stands for it', () => {
  const facilities = new Set(['RW-1']);
  expect(readHeldBack(cells('RW-1,2031,5\nS-9,2032'), facilities)).toEqual({
    rows: [
      { segmentId: null, facilityId: 'RW-1', pavementYear: 2031, yearsBefore: 5 },
      { segmentId: 'S-9', facilityId: null, pavementYear: 2032, yearsBefore: 3 },
    ],
    problems: [],
  });
  const named = readHeldBack(
    cells('facilityId,segmentId,pavementYear,yearsBefore\nRW-1,S-9,2031,2\n,,2031,2\nRW-1,,2031,99'),
    facilities,
  );
  expect(named.rows).toEqual([]);
  expect(named.problems.map(({ line }) => line)).toEqual([2, 3, 4]);
});

test('rows pasted again take the place of the old ones', () => {
  const old = [
    { segmentId: 'A', year: 2027, sealantClass: null },
    { segmentId: 'B', year: 2027, sealantClass: null },
  ];
  const added = [{ segmentId: 'B', year: 2027, sealantClass: 'polysulfide' as const }];
  expect(mergeRows(old, added, committedKey)).toEqual([old[0], added[0]]);
});
