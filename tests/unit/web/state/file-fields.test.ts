import { describe, expect, test } from 'vitest';
import { RECORD_FIELDS } from '../../../../server/import/record-fields.ts';
import { RECORD_KINDS } from '../../../../server/schemas/words.ts';
import { fieldsOf, unitLabel } from '../../../../web/state/file-fields.ts';

describe('what a file may hold, as the screen says it', () => {
  test.each(RECORD_KINDS)(
    'the fields of %s are those that the import reads, and the needed ones are marked',
    (kind) => {
      const shown = fieldsOf(kind).map(({ field, required }) => [field, required]);
      const read = RECORD_FIELDS[kind].map(({ field, required }) => [field, required]);
      expect(shown.sort()).toEqual(read.sort());
    },
  );

  test('a file of unknown kind has no fields yet', () => {
    expect(fieldsOf(null)).toEqual([]);
  });

  test('a price in feet is a price per foot, not a length', () => {
    expect(unitLabel('ft', 'costPerM')).toBe('per ft');
    expect(unitLabel('ft', 'sealedLengthM')).toBe('feet');
  });
});
