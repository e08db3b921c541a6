import { describe, expect, test } from 'vitest';
import type { FilePreview, Load } from '../../../../server/schemas/load.ts';
import {
  chooseField,
  chooseKind,
  chooseSwap,
  chooseUnit,
  countRows,
  describeColumns,
  fieldChosen,
  leaveOut,
  openLoad,
  putBack,
  sameChoices,
  suggestsSwap,
  wantsLook,
  whyNotReady,
} from '../../../../web/state/file-choices.ts';

const column = (name: string, field: string | null): FilePreview['columns'][number] => ({
  column: name,
  field,
  unit: null,
  unitChoices: [],
  unitGuessed: false,
  example: null,
});
const preview = (change: Partial<FilePreview> = {}): FilePreview => ({
  uploadId: 'u1',
  file: 'seals.csv',
  kind: 'seals',
  kindGuessed: true,
  columns: [column('joint', 'segmentId'), column('w', 'widthMm'), column('w2', null)],
  missingColumns: [],
  rowsRead: 10,
  rowsAccepted: 8,
  rowsRefused: 2,
  problems: [],
  problemCounts: [],
  notes: [],
  ...change,
});
const choices = [{ uploadId: 'u1' }, { uploadId: 'u2', kind: 'climate' as const }];

describe('what the user says about a file', () => {
  test('a change touches only its own file, and never the list it was made from', () => {
    const changed = chooseUnit(choices, 'u1', { field: 'widthMm', unit: 'in' });
    expect(changed).toEqual([{ uploadId: 'u1', units: { widthMm: 'in' } }, choices[1]]);
    expect(choices[0]).toEqual({ uploadId: 'u1' });
    expect(chooseSwap(choices, 'u2', true)[1].swapLonLat).toBe(true);
  });

  test('another kind forgets what was said about columns and units', () => {
    const said = chooseUnit(choices, 'u1', { field: 'widthMm', unit: 'in' });
    expect(chooseKind(said, 'u1', 'segments')[0]).toEqual({ uploadId: 'u1', kind: 'segments' });
  });

  test('two columns never give the same field: the first is let go', () => {
    const [choice] = chooseField(choices, preview(), { column: 'w2', field: 'widthMm' });
    expect(choice.columns).toEqual({ w: '', w2: 'widthMm' });
    expect(preview().columns.map((c) => fieldChosen(choice, c))).toEqual(['segmentId', '', 'widthMm']);
    const back = chooseField([choice], preview(), { column: 'w', field: 'widthMm' });
    expect(back[0].columns).toEqual({ w: 'widthMm', w2: '' });
  });

  test('leaving out two columns is allowed', () => {
    const one = chooseField(choices, preview(), { column: 'w', field: '' });
    const [both] = chooseField(one, preview(), { column: 'joint', field: '' });
    expect(both.columns).toEqual({ w: '', joint: '' });
  });

  test('a file that was left out comes back at its place, as it was', () => {
    const without = leaveOut(choices, 'u1');
    expect(without).toEqual([choices[1]]);
    expect(sameChoices(choices, without)).toBe(false);
    const changed = chooseSwap(without, 'u2', true);
    expect(putBack(changed, 'u1', choices)).toEqual([choices[0], { ...choices[1], swapLonLat: true }]);
  });

  test('columns are summed up in a line, and want a look where something was guessed or missed', () => {
    expect(describeColumns(preview())).toBe('3 columns: 2 read, 1 left out');
    const guessed = { ...column('w', 'widthMm'), unitGuessed: true };
    expect(describeColumns({ columns: [guessed] })).toBe('1 column: all read, 1 unit guessed');
    expect(wantsLook(preview({ columns: [column('joint', 'segmentId')] }))).toBe(false);
    expect(wantsLook(preview({ columns: [guessed] }))).toBe(true);
    expect(wantsLook(preview({ columns: [], missingColumns: ['sealantClass'] }))).toBe(true);
  });

  test('choices are the same whatever the order they were made in', () => {
    const a = [{ uploadId: 'u1', units: { widthMm: 'in' as const, recessMm: 'mm' as const } }];
    const b = [{ uploadId: 'u1', units: { recessMm: 'mm' as const, widthMm: 'in' as const }, swapLonLat: false }];
    expect(sameChoices(a, b)).toBe(true);
    expect(sameChoices(a, chooseSwap(b, 'u1', true))).toBe(false);
  });
});

describe('where a load stands', () => {
  test('the open load is the newest that has not ended', () => {
    const load = (id: string, state: Load['state']): Load => ({
      id,
      state,
      jobId: null,
      choices: [],
      files: [],
      result: null,
      createdAt: '2030-01-01T00:00:00Z',
      error: null,
    });
    expect(openLoad([load('c', 'done'), load('b', 'ready'), load('a', 'loading')])?.id).toBe('b');
    expect(openLoad([load('c', 'done'), load('b', 'failed'), load('a', 'cancelled')])).toBeNull();
  });

  test('a file of unknown kind, or without one good row, cannot be loaded', () => {
    expect(whyNotReady([preview()])).toBeNull();
    expect(whyNotReady([preview(), preview({ kind: null, file: 'x.csv' })])).toContain('x.csv');
    expect(whyNotReady([preview({ rowsAccepted: 0 })])).toContain('No row');
    expect(countRows([preview(), preview()])).toEqual({ read: 20, accepted: 16, refused: 4 });
  });

  test('a hint about swapped coordinates is noticed', () => {
    expect(suggestsSwap(preview())).toBe(false);
    const columns = { file: 'x', row: 1, field: 'maxC', found: '2', expected: 'at least the minimum of the day' };
    expect(suggestsSwap(preview({ problems: [{ ...columns, hint: 'Are the columns swapped?' }] }))).toBe(false);
    const problem = { file: 'x', row: 1, field: 'geometry', found: '48, 11', expected: 'lon, lat' };
    expect(suggestsSwap(preview({ problems: [{ ...problem, hint: 'Are longitude and latitude swapped?' }] }))).toBe(
      true,
    );
  });
});
