import { parse } from 'csv-parse/sync';
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { csvText } from '../../../../web/state/evidence-csv.ts';

test('what is written is read back by another program, whatever the text', () => {
  const cells = fc.string().map((text) => text.replace(/^[=+\-@\t\r]+/, ''));
  fc.assert(
    fc.property(fc.array(fc.tuple(cells, cells), { minLength: 1 }), (rows) => {
      const read = parse(csvText(rows), { relax_column_count: true, skip_empty_lines: false }) as string[][];
      expect(read).toEqual(rows.map((row) => [...row]));
    }),
    { seed: 1 },
  );
});

test('unknown values are empty, numbers stay numbers, and no text runs as a formula', () => {
  expect(
    csvText([
      ['a', 'b', 'c'],
      [null, -0.25, Number.NaN],
      ['=1+1', '@x', '-2'],
    ]),
  ).toBe("a,b,c\r\n,-0.25,\r\n'=1+1,'@x,'-2\r\n");
});
