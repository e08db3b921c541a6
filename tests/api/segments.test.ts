import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { type Filter, SORT_FIELDS } from '../../server/schemas/filter.ts';
import type { SegmentPage, SegmentRow, Summary } from '../../server/schemas/forecast.ts';
import { compareBy, keeps } from '../unit/server/store/plain-filter.ts';
import { getJson, queryOf, startDemo } from './demo-app.ts';
import { LOOPBACK } from './load-over-http.ts';
import type { TestApp } from './start-app.ts';

let server: TestApp;
let all: SegmentRow[];
beforeAll(async () => {
  server = await startDemo();
  all = (await getJson<SegmentPage>(server, '/api/segments?limit=1000')).items;
});
afterAll(() => server.close());

const list = (query: Parameters<typeof queryOf>[0]) =>
  getJson<SegmentPage>(server, `/api/segments?${queryOf({ limit: 1000, ...query })}`);
const summary = (filter: Filter) => getJson<Summary>(server, `/api/summary?${queryOf(filter)}`);
const total = (rows: readonly SegmentRow[], of: (row: SegmentRow) => number) =>
  rows.reduce((sum, row) => sum + of(row), 0);

const FILTERS: Filter[] = [
  {},
  { district: 'Coast District' },
  { district: 'Coast District,Dry Plains District' },
  { facilityKind: 'runway,taxiway' },
  { jointType: 'longitudinal' },
  { sealantClass: 'silicone-self-levelling,hot-applied-type-1' },
  { minAgeYears: 8 },
  { maxAgeYears: 12.5 },
  { minAgeYears: 4, maxAgeYears: 9 },
  { minDamagedShare: 0.05 },
  { minDamagedShare: 0.02, maxDamagedShare: 0.1 },
  { maxDamagedShare: 0 },
  { minDueYear: 2030 },
  { maxDueYear: 2028 },
  { search: 'runway' },
  { search: '1' },
  { search: '100%_' },
  { district: 'Nowhere' },
  { district: '', jointType: '' },
  { district: 'North Moraine District', jointType: 'transverse-contraction', minAgeYears: 3, maxDueYear: 2040 },
];

describe('filters', () => {
  test('the sample has what the filters ask for', () => {
    expect(all).toHaveLength(300);
    const narrowing = FILTERS.filter((filter) => {
      const kept = all.filter((row) => keeps(filter, row)).length;
      return kept > 0 && kept < all.length;
    });
    expect(narrowing.length).toBeGreaterThanOrEqual(14);
  });

  test.each(FILTERS)('%j keeps in the list, the totals and both exports what a plain filter keeps', async (filter) => {
    const kept = all.filter((row) => keeps(filter, row));
    const ids = kept.map(({ id }) => id);
    const page = await list(filter);
    expect(page.items.map(({ id }) => id)).toEqual(ids);
    expect(page).toMatchObject({ numberMatched: ids.length, next: null });
    expect((await summary(filter)).segments).toBe(ids.length);
    const csv = await server.app.inject({ url: `/api/export/segments.csv?${queryOf(filter)}`, headers: LOOPBACK });
    expect(
      csv.body
        .trim()
        .split('\n')
        .slice(1)
        .map((line) => line.split(',')[0]),
    ).toEqual(ids);
    const geojson = await getJson<{ features: { id: string }[] }>(
      server,
      `/api/export/segments.geojson?${queryOf(filter)}`,
    );
    expect(geojson.features.map(({ id }) => id)).toEqual(ids);
  });

  test('a facility filter keeps the segments of that facility', async () => {
    const { facilityId } = all[17];
    const page = await list({ facility: facilityId });
    expect(page.items).toEqual(all.filter((row) => row.facilityId === facilityId));
  });
});

describe('order and pages', () => {
  const walk = async (query: Parameters<typeof queryOf>[0]) => {
    const pages: SegmentRow[][] = [];
    for (let after: string | undefined; ; ) {
      const page = await list({ ...query, after });
      pages.push(page.items);
      if (page.next === null) return pages;
      expect(page.items).toHaveLength(Number(query.limit));
      after = page.next;
    }
  };

  test.each(SORT_FIELDS)('walking by %s, both ways, gives every segment once and in order', async (sort) => {
    for (const descending of [false, true]) {
      const rows = (await walk({ sort, descending, limit: 37 })).flat();
      expect(new Set(rows.map(({ id }) => id)).size).toBe(all.length);
      const compare = compareBy(sort, descending);
      expect(rows.slice(1).filter((row, i) => compare(rows[i], row) > 0)).toEqual([]);
    }
  });

  test('walking under a filter gives what it keeps, and no more', async () => {
    const filter = { jointType: 'longitudinal', minAgeYears: 2 };
    const rows = (await walk({ ...filter, sort: 'dueYear', limit: 10 })).flat();
    expect(rows.map(({ id }) => id).sort()).toEqual(
      all
        .filter((row) => keeps(filter, row))
        .map(({ id }) => id)
        .sort(),
    );
  });

  test('a page mark of another order is refused', async () => {
    const { next } = await list({ sort: 'ageYears', limit: 5 });
    const other = await server.app.inject({
      url: `/api/segments?${queryOf({ sort: 'id', after: next ?? '' })}`,
      headers: LOOPBACK,
    });
    expect(other.statusCode).toBe(400);
    expect(other.json().detail).toContain('Start again without it');
  });
});

describe('totals', () => {
  test.each(FILTERS.slice(0, 8))('of %j are those of the list', async (filter) => {
    const rows = all.filter((row) => keeps(filter, row));
    const found = await summary(filter);
    expect(found.sealedLengthM).toBeCloseTo(
      total(rows, (row) => row.sealedLengthM),
      6,
    );
    expect(found.expectedFailedNowM).toBeCloseTo(
      total(rows, (row) => row.sealedLengthM * (row.failedNowProbability ?? 0)),
      6,
    );
    const distressed = rows.filter(({ damagedShare }) => damagedShare !== null && damagedShare >= 0.1);
    expect(found.distressedM).toBeCloseTo(
      total(distressed, (row) => row.sealedLengthM),
      6,
    );
    const due = new Map<number, number>();
    for (const { dueYear } of rows) if (dueYear !== null) due.set(dueYear, (due.get(dueYear) ?? 0) + 1);
    expect(found.dueByYear.map(({ year, segments }) => [year, segments])).toEqual([...due].sort(([a], [b]) => a - b));
    const forecast = rows.filter((row) => row.failedNowProbability !== null);
    expect(found.dueBeyondHorizon).toBe(forecast.filter(({ dueYear }) => dueYear === null).length);
  });

  test('each facet counts under the other filters, so that a word not chosen shows what it would add', async () => {
    const filter = { district: 'Coast District', jointType: 'longitudinal' };
    const { facets } = await summary(filter);
    for (const { value, count } of facets.district) {
      expect(count).toBe(all.filter((row) => keeps({ ...filter, district: value }, row)).length);
    }
    for (const { value, count } of facets.jointType) {
      expect(count).toBe(all.filter((row) => keeps({ ...filter, jointType: value }, row)).length);
    }
  });
});

test.each([
  ['districts=North', 'query.districts', 'North'],
  ['facilityKind=canal', 'query.facilityKind', 'canal'],
  ['jointType=longitudinal,glue', 'query.jointType', 'longitudinal,glue'],
  ['sealantClass=chewing-gum', 'query.sealantClass', 'chewing-gum'],
  ['minAgeYears=old', 'query.minAgeYears', 'old'],
  ['minAgeYears=-1', 'query.minAgeYears', '-1'],
  ['maxDamagedShare=12', 'query.maxDamagedShare', '12'],
  ['minDueYear=2030.5', 'query.minDueYear', '2030.5'],
  ['maxDueYear=99999', 'query.maxDueYear', '99999'],
  [`search=${'x'.repeat(101)}`, 'query.search', `${'x'.repeat(80)}…`],
  ['district=A&district=B', 'query.district', '["A","B"]'],
])('%s is refused, with the field, what was found and what is allowed', async (query, field, found) => {
  for (const address of ['/api/segments', '/api/summary', '/api/export/segments.csv', '/api/tiles/0/0/0.mvt']) {
    const answer = await server.app.inject({ url: `${address}?${query}`, headers: LOOPBACK });
    expect([address, answer.statusCode]).toEqual([address, 400]);
    expect(answer.headers['content-type']).toContain('application/problem+json');
    const problem = answer.json();
    expect(problem.errors[0]).toEqual({ field, found, expected: expect.stringMatching(/\S/) });
    expect(problem.detail).toContain(`${field} is ${found}; expected `);
  }
});

test.each(['limit=0', 'limit=1001', 'limit=ten', 'sort=colour', 'descending=maybe', 'after=abc'])(
  'the list refuses %s',
  async (query) => {
    const answer = await server.app.inject({ url: `/api/segments?${query}`, headers: LOOPBACK });
    expect(answer.statusCode).toBe(400);
  },
);
