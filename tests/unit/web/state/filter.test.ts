import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Filter } from '../../../../server/schemas/filter.ts';
import {
  countActive,
  FILTER_FIELDS,
  readFilter,
  readList,
  toggleInList,
  withField,
  writeFilter,
} from '../../../../web/state/filter.ts';

const words = fc
  .stringMatching(/^[A-Za-z0-9 äß&+%-]{1,12}$/)
  .map((text) => text.trim())
  .filter((text) => text !== '');
const list = fc.uniqueArray(words, { minLength: 1, maxLength: 4 }).map((values) => values.join(','));
const share = fc.integer({ min: 0, max: 100 }).map((percent) => percent / 100);
const filters: fc.Arbitrary<Filter> = fc.record(
  {
    district: list,
    facility: list,
    facilityKind: list,
    jointType: list,
    sealantClass: list,
    minAgeYears: fc.integer({ min: 0, max: 60 }),
    maxAgeYears: fc.integer({ min: 0, max: 60 }),
    minDamagedShare: share,
    maxDamagedShare: share,
    minDueYear: fc.integer({ min: 1900, max: 2300 }),
    maxDueYear: fc.integer({ min: 1900, max: 2300 }),
    segmentIds: list,
    search: words,
  },
  { requiredKeys: [] },
);

describe('the filter in the address', () => {
  test('a filter written into an address is read back the same', () => {
    fc.assert(
      fc.property(filters, (filter) => {
        const address = writeFilter(new URLSearchParams(), filter).toString();
        expect(readFilter(new URLSearchParams(address))).toEqual(filter);
      }),
      { seed: 1 },
    );
  });

  test('writing keeps what is not a filter and takes out what is no longer asked', () => {
    const params = new URLSearchParams('district=North&segment=A-1&at=1,2,3');
    expect(writeFilter(params, { search: 'ramp' }).toString()).toBe('segment=A-1&at=1%2C2%2C3&search=ramp');
  });

  test('the address given in is not changed', () => {
    const params = new URLSearchParams('district=North');
    writeFilter(params, {});
    expect(params.toString()).toBe('district=North');
  });

  test('text where a number belongs is left out, and years are whole', () => {
    expect(
      readFilter(new URLSearchParams('minAgeYears=old&maxAgeYears=&minDueYear=2030.4&maxDueYear=Infinity')),
    ).toEqual({
      minDueYear: 2030,
    });
  });

  test('parameters that are no filter are left alone', () => {
    expect(readFilter(new URLSearchParams('sort=id&year=2030'))).toEqual({});
  });
});

describe('changing the filter', () => {
  test('a value goes in, a second one beside it, and each comes out again', () => {
    const one = toggleInList({}, 'district', 'North');
    const two = toggleInList(one, 'district', 'South');
    expect(readList(two, 'district')).toEqual(['North', 'South']);
    expect(toggleInList(toggleInList(two, 'district', 'North'), 'district', 'South')).toEqual({});
  });

  test('toggling twice changes nothing', () => {
    fc.assert(
      fc.property(filters, words, (filter, word) => {
        const fresh = `${word}*`;
        const same = toggleInList(toggleInList(filter, 'facility', fresh), 'facility', fresh);
        expect({ ...same, facility: readList(same, 'facility') }).toEqual({
          ...filter,
          facility: readList(filter, 'facility'), // a lone % typed by hand is written %25 from then on
        });
      }),
      { seed: 2 },
    );
  });

  test('zero is a bound and not an absence', () => {
    expect(withField({}, 'maxDamagedShare', 0)).toEqual({ maxDamagedShare: 0 });
    expect(writeFilter(new URLSearchParams(), { maxDamagedShare: 0 }).toString()).toBe('maxDamagedShare=0');
  });

  test('two bounds of one question count once', () => {
    expect(countActive({})).toBe(0);
    expect(countActive({ minAgeYears: 2, maxAgeYears: 9, district: 'North' })).toBe(2);
  });

  test('every field of the filter is known by its name', () => {
    expect(new Set(FILTER_FIELDS).size).toBe(13);
  });
});

test('a word with a comma or a per cent sign stays one word, also in the address', () => {
  const filter = toggleInList(toggleInList({}, 'district', 'Hill, North'), 'district', '50 % belt');
  expect(readList(filter, 'district')).toEqual(['Hill, North', '50 % belt']);
  const address = writeFilter(new URLSearchParams(), filter).toString();
  expect(readList(readFilter(new URLSearchParams(address)), 'district')).toEqual(['Hill, North', '50 % belt']);
});
