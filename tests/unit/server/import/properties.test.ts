import fc from 'fast-check';
import { expect, test } from 'vitest';
import { readDay, readPeriod } from '../../../../server/import/dates.ts';
import { checkGeometry } from '../../../../server/import/geometry-check.ts';
import { parseNumber } from '../../../../server/import/numbers.ts';
import { guardFormula } from '../../../../server/import/refused-csv.ts';
import { toStored, unitsOf } from '../../../../server/import/units.ts';
import { toWkt } from '../../../../server/import/wkt.ts';
import type { LineGeometry } from '../../../../server/schemas/segment.ts';
import { AGENCY, load } from './agency-files.ts';

const NAMES = Object.keys(AGENCY);
const SPLICES = [
  '',
  '"',
  "'",
  ',',
  ';',
  '\n',
  '\r',
  '\u0000',
  '{',
  '}',
  '[',
  ']',
  '\u001e',
  '\\',
  '=',
  '-',
  'null',
  '1e999',
  '\uFEFF',
  '9',
];

/** Bytes of a sound file with some of them replaced, cut out or doubled. */
const mutations = fc.array(
  fc.record({
    file: fc.nat(NAMES.length - 1),
    at: fc.double({ min: 0, max: 1, noNaN: true }),
    remove: fc.nat(12),
    insert: fc.oneof(fc.constantFrom(...SPLICES), fc.string({ maxLength: 6, unit: 'binary' })),
  }),
  { minLength: 1, maxLength: 6 },
);

test('files damaged at random never throw; every row read is accepted or refused, and what is written is counted', async () => {
  await fc.assert(
    fc.asyncProperty(mutations, async (edits) => {
      const contents = { ...AGENCY };
      for (const { file, at, remove, insert } of edits) {
        const text = String(contents[NAMES[file]]);
        const position = Math.floor(at * text.length);
        contents[NAMES[file]] = text.slice(0, position) + insert + text.slice(position + remove);
      }
      const { result, previews, store } = await load(contents);
      for (const each of Object.values(previews)) {
        expect(each.rowsAccepted + each.rowsRefused).toBe(each.rowsRead);
        if (each.rowsRefused > 0) expect(each.problems.length).toBeGreaterThan(0);
      }
      const inserted = result.reduce((sum, line) => sum + line.inserted, 0);
      expect(inserted).toBe([...store.tables.values()].reduce((sum, rows) => sum + rows.size, 0));
      expect(JSON.stringify([...store.tables.values()].map((rows) => [...rows.values()]))).not.toMatch(/NaN|Infinity/);
    }),
    { seed: 1, numRuns: 400, interruptAfterTimeLimit: 15_000 },
  );
});

test('random bytes as a file of any name never throw', async () => {
  await fc.assert(
    fc.asyncProperty(fc.uint8Array({ maxLength: 300 }), fc.constantFrom(...NAMES), async (bytes, name) => {
      const { previews } = await load({ [name]: bytes });
      expect(previews[name].rowsAccepted).toBe(0);
    }),
    { seed: 2, numRuns: 200, interruptAfterTimeLimit: 10_000 },
  );
});

test('a day that is read is a day of the calendar, written the same way', () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 1850, max: 2200 }),
      fc.integer({ min: 0, max: 13 }),
      fc.integer({ min: 0, max: 32 }),
      (y, m, d) => {
        const text = `${y}-${String(m).padStart(2, '0')}-${String(d).padStart(2, '0')}`;
        const date = new Date(Date.UTC(y, m - 1, d));
        const exists = date.getUTCMonth() === m - 1 && date.getUTCDate() === d;
        expect(readDay(text)).toMatchObject(exists ? { ok: true, value: text } : { ok: false });
      },
    ),
    { seed: 3 },
  );
});

test('a period never ends before it begins, whatever the text', () => {
  const text = fc.stringMatching(/^[0-9]{0,4}[-/]?[0-9]{0,4}[-/]?[0-9]{0,4}[-/]?[0-9]{0,2}$/);
  fc.assert(
    fc.property(fc.oneof(text, fc.string()), (written) => {
      const period = readPeriod(written);
      if (period.ok) expect(period.value.to >= period.value.from).toBe(true);
    }),
    { seed: 4, numRuns: 2000 },
  );
});

test('numbers are finite or refused', () => {
  fc.assert(
    fc.property(fc.oneof(fc.string(), fc.double().map(String)), fc.boolean(), (text, comma) => {
      const number = parseNumber(text, comma);
      if (number !== null) expect(Number.isFinite(number)).toBe(true);
    }),
    { seed: 5, numRuns: 2000 },
  );
});

test('conversion keeps order and comes back within the digits kept', () => {
  const inches = fc.double({ min: 0.01, max: 1000, noNaN: true });
  fc.assert(
    fc.property(inches, (value) => {
      for (const unit of unitsOf('size'))
        expect(toStored(value * 1.01, unit, 'size')).toBeGreaterThan(toStored(value, unit, 'size'));
      expect(toStored(value, 'in', 'size') / 25.4).toBeCloseTo(value, 5);
    }),
    { seed: 6 },
  );
});

test('a guarded cell is never a formula and one apostrophe less is the cell', () => {
  fc.assert(
    fc.property(
      fc.oneof(
        fc.string(),
        fc.constantFrom(...SPLICES).chain((s) => fc.string().map((t) => s + t)),
      ),
      (cell) => {
        const guarded = guardFormula(cell);
        if (guarded !== cell) expect(guarded).toBe(`'${cell}`);
        else if (/^[=+\-@\t\r]/.test(cell)) expect(parseNumber(cell, true)).not.toBeNull();
      },
    ),
    { seed: 7, numRuns: 2000 },
  );
});

test('a line as text reads back as the same line', () => {
  const position = fc.tuple(
    fc.double({ min: -180, max: 180, noNaN: true }).map((x) => x + 0),
    fc.double({ min: -59, max: 90, noNaN: true }).map((x) => x + 0),
  );
  const line = fc.array(position, { minLength: 2, maxLength: 6 });
  const geometries = fc.oneof(
    line.map((coordinates) => ({ type: 'LineString', coordinates }) as LineGeometry),
    fc
      .array(line, { minLength: 1, maxLength: 3 })
      .map((coordinates) => ({ type: 'MultiLineString', coordinates }) as LineGeometry),
  );
  fc.assert(
    fc.property(geometries, (geometry) => {
      const rules = { swapLonLat: false, expectedBoxes: [] };
      const direct = checkGeometry(geometry, rules);
      const byText = checkGeometry(toWkt(geometry), rules);
      expect(byText).toEqual(direct);
    }),
    { seed: 8 },
  );
});
