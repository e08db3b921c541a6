import fc from 'fast-check';
import { expect, test } from 'vitest';
import { type Filter, SORT_FIELDS, type SortField } from '../../../../server/schemas/filter.ts';
import type { SegmentRow } from '../../../../server/schemas/forecast.ts';
import type { LineGeometry } from '../../../../server/schemas/segment.ts';
import { FACILITY_KINDS, JOINT_TYPES, SEALANT_CLASSES } from '../../../../server/schemas/words.ts';
import type { BoxDegrees, SegmentState, Store } from '../../../../server/store/store.ts';
import type { OpenForTest } from './open-for-test.ts';
import { compareBy, keeps } from './plain-filter.ts';
import { forecastAll, loadNetwork, sampleForecast, sampleNetwork } from './sample-network.ts';

const WORLD: BoxDegrees = [-180, -85, 180, 85];
const NETWORK = { segments: 460, seed: 7 };

const some = (words: readonly string[]) =>
  fc
    .subarray([...words], { minLength: 1, maxLength: 3 })
    .map((chosen) => chosen.map((word) => encodeURIComponent(word)).join(','));

/** Values that keep something often enough, with signs that mean something to SQL. */
const CONDITIONS: Record<keyof Filter, fc.Arbitrary<string | number>> = {
  district: some(['North', 'South', 'East, upper', '100% West', 'nowhere']),
  facility: some(['F0', 'F3', 'F7', "F'; DROP"]),
  facilityKind: some(FACILITY_KINDS),
  jointType: some(JOINT_TYPES),
  sealantClass: some(SEALANT_CLASSES),
  segmentIds: some(['S0', 'S7', 'S14', 'S21', 'S400', 'nowhere']),
  minAgeYears: fc.integer({ min: 0, max: 25 }),
  maxAgeYears: fc.integer({ min: 0, max: 25 }),
  minDamagedShare: fc.constantFrom(0, 0.05, 0.1, 1),
  maxDamagedShare: fc.constantFrom(0, 0.05, 0.1, 1),
  minDueYear: fc.integer({ min: 2020, max: 2045 }),
  maxDueYear: fc.integer({ min: 2020, max: 2045 }),
  search: fc.constantFrom('', 'road', 'B1', '_', '%', "'", '\\', 'c_4', 'RUNWAY 09/27', 'zzz'),
};

const filters: fc.Arbitrary<Filter> = fc
  .subarray(Object.keys(CONDITIONS) as (keyof Filter)[], { maxLength: 3 })
  .chain((fields) => fc.record(Object.fromEntries(fields.map((field) => [field, CONDITIONS[field]]))))
  .map((filter) => filter as Filter);

async function everyRow(store: Store): Promise<SegmentRow[]> {
  const rows: SegmentRow[] = [];
  for await (const batch of store.exportSegments({}, false)) rows.push(...batch);
  return rows;
}

async function walk(
  store: Store,
  query: { filter: Filter; sort: SortField; descending: boolean; limit: number },
): Promise<SegmentRow[]> {
  const rows: SegmentRow[] = [];
  let after: string | null = null;
  do {
    const page = await store.listSegments({ ...query, after });
    expect(page.items.length).toBeLessThanOrEqual(query.limit);
    rows.push(...page.items);
    after = page.next;
  } while (after !== null);
  return rows;
}

const ids = (rows: readonly { id: string }[]): string[] => rows.map(({ id }) => id).sort();

async function openNetwork(open: OpenForTest): Promise<{ store: Store; rows: SegmentRow[] }> {
  const { store } = await open();
  const network = sampleNetwork(NETWORK);
  await loadNetwork(store, network);
  await forecastAll(
    store,
    network.segments.map(({ id }) => id).filter((_, i) => i % 9 !== 0),
  );
  return { store, rows: await everyRow(store) };
}

/** Lists, totals and exports under filters. */
export function contractOfLists(open: OpenForTest): void {
  test('a filter keeps exactly what it says, in list, count, total and export', async () => {
    const { store, rows } = await openNetwork(open);
    expect(rows.length).toBe(NETWORK.segments);
    expect(rows.map(({ id }) => id)).toEqual(ids(rows));
    let kept = 0;
    await fc.assert(
      fc.asyncProperty(filters, async (filter) => {
        const wanted = rows.filter((row) => keeps(filter, row));
        kept += wanted.length;
        const page = await store.listSegments({ filter, sort: 'id', descending: false, limit: 1000, after: null });
        expect(page.items).toEqual(wanted);
        expect(page.numberMatched).toBe(wanted.length);
        expect(page.next).toBeNull();
        expect((await store.summarise(filter)).segments).toBe(wanted.length);
      }),
      { seed: 1, numRuns: 150 },
    );
    expect(kept).toBeGreaterThan(1000);
  });

  test.each(SORT_FIELDS)(
    'walking the pages by %s gives every line once, in order, unknown values last',
    async (sort) => {
      const { store, rows } = await openNetwork(open);
      const tried: Filter[] = [{}, { district: 'North,South' }, { minDueYear: 2030 }, { search: 'c_' }];
      for (const filter of tried) {
        for (const descending of [false, true]) {
          for (const limit of [7, 100]) {
            const walked = await walk(store, { filter, sort, descending, limit });
            expect(ids(walked)).toEqual(ids(rows.filter((row) => keeps(filter, row))));
            const compare = compareBy(sort, descending);
            for (let i = 1; i < walked.length; i++) expect(compare(walked[i - 1], walked[i])).toBeLessThanOrEqual(0);
          }
        }
      }
    },
  );

  test('a page mark of another order, or one made up, is refused', async () => {
    const { store } = await openNetwork(open);
    const query = { filter: {}, sort: 'ageYears' as SortField, descending: false, limit: 5 };
    const { next } = await store.listSegments({ ...query, after: null });
    await expect(store.listSegments({ ...query, descending: true, after: next })).rejects.toThrow(/page mark/);
    await expect(store.listSegments({ ...query, sort: 'id', after: next })).rejects.toThrow(/page mark/);
    await fc.assert(
      fc.asyncProperty(fc.string(), async (after) => {
        await expect(store.listSegments({ ...query, after })).rejects.toThrow(/page mark/);
      }),
      { seed: 1, numRuns: 50 },
    );
  });

  test('totals are the sums of the lines that the filter keeps', async () => {
    const { store, rows } = await openNetwork(open);
    const sum = (kept: SegmentRow[], of: (row: SegmentRow) => number) =>
      kept.reduce((total, row) => total + of(row), 0);
    const tried: Filter[] = [
      {},
      { district: 'North', minAgeYears: 6 },
      { sealantClass: 'polysulfide' },
      { search: 'zz' },
    ];
    for (const filter of tried) {
      const kept = rows.filter((row) => keeps(filter, row));
      const summary = await store.summarise(filter);
      expect(summary.sealedLengthM).toBeCloseTo(
        sum(kept, (row) => row.sealedLengthM),
        6,
      );
      const expectedFailed = sum(kept, (row) => row.sealedLengthM * (row.failedNowProbability ?? 0));
      expect(summary.expectedFailedNowM).toBeCloseTo(expectedFailed, 6);
      const distressed = kept.filter((row) => (row.damagedShare ?? 0) >= 0.1);
      expect(summary.distressedM).toBeCloseTo(
        sum(distressed, (row) => row.sealedLengthM),
        6,
      );
      const unseen = kept.filter((row) => row.lastInspectedOn === null && !row.unsealedByPolicy);
      expect(summary.neverInspected).toBe(unseen.length);
      const beyond = kept.filter((row) => row.failedNowProbability !== null && row.dueYear === null);
      expect(summary.dueBeyondHorizon).toBe(beyond.length);
      for (const { year, segments } of summary.dueByYear) {
        expect(segments).toBe(kept.filter((row) => row.dueYear === year).length);
      }
      expect(summary.dueByYear.length).toBe(new Set(kept.flatMap(({ dueYear }) => dueYear ?? [])).size);
      expect(summary.dataVersion).toBe(1);
    }
  });

  test('a facet lists every word of the network with what it would add under the other filters', async () => {
    const { store, rows } = await openNetwork(open);
    const filter: Filter = { district: 'North', jointType: 'longitudinal,isolation', maxDamagedShare: 0.3 };
    const { facets, ageYearsRange } = await store.summarise(filter);
    const fields = { district: 'district', facilityKind: 'facilityKind', jointType: 'jointType' } as const;
    for (const field of [...Object.values(fields), 'sealantClass' as const]) {
      const others = rows.filter((row) => keeps({ ...filter, [field]: undefined }, row));
      const words = new Set(rows.flatMap((row) => row[field] ?? []));
      expect(facets[field].map(({ value }) => value)).toEqual([...words].sort());
      for (const { value, count, sealedLengthM } of facets[field]) {
        const these = others.filter((row) => row[field] === value);
        expect(count).toBe(these.length);
        expect(sealedLengthM).toBeCloseTo(
          these.reduce((total, row) => total + row.sealedLengthM, 0),
          6,
        );
      }
    }
    const ages = rows.flatMap(({ ageYears }) => ageYears ?? []);
    expect(ageYearsRange).toEqual([Math.min(...ages), Math.max(...ages)]);
  });

  test('an export with lines carries the stored geometry', async () => {
    const { store, rows } = await openNetwork(open);
    const network = new Map(sampleNetwork(NETWORK).segments.map((one) => [one.id, one.geometry]));
    let exported = 0;
    for await (const batch of store.exportSegments({ district: 'South' }, true)) {
      for (const { id, geometry } of batch) expect(geometry).toEqual(network.get(id));
      exported += batch.length;
    }
    expect(exported).toBe(rows.filter((row) => row.district === 'South').length);
  });
}

const positions = ({ type, coordinates }: LineGeometry): number[][] =>
  type === 'LineString' ? coordinates : coordinates.flat();

function boxOf(geometry: LineGeometry): BoxDegrees {
  const [lons, lats] = [0, 1].map((k) => positions(geometry).map((position) => position[k]));
  return [Math.min(...lons), Math.min(...lats), Math.max(...lons), Math.max(...lats)];
}

const meets = (a: BoxDegrees, b: BoxDegrees): boolean => a[0] <= b[2] && b[0] <= a[2] && a[1] <= b[3] && b[1] <= a[3];

/** What map tiles are made from. */
export function contractOfTiles(open: OpenForTest): void {
  test('a box finds the segments whose box meets it, those and no others', async () => {
    const { store, rows } = await openNetwork(open);
    const { segments } = sampleNetwork(NETWORK);
    const byId = new Map(rows.map((row) => [row.id, row]));
    const corner = fc.tuple(
      fc.double({ min: -100.1, max: -97.9, noNaN: true }),
      fc.double({ min: 33.9, max: 34.9, noNaN: true }),
    );
    await fc.assert(
      fc.asyncProperty(corner, corner, filters, async ([ax, ay], [bx, by], filter) => {
        const box: BoxDegrees = [Math.min(ax, bx), Math.min(ay, by), Math.max(ax, bx), Math.max(ay, by)];
        const wanted = segments.filter((one) => {
          const row = byId.get(one.id);
          return row && keeps(filter, row) && meets(boxOf(one.geometry), box);
        });
        const found = await store.segmentsInBox(box, filter, 1000);
        expect(ids(found)).toEqual(ids(wanted));
        expect((await store.segmentsInBox(box, filter, 3)).length).toBe(Math.min(3, wanted.length));
      }),
      { seed: 1, numRuns: 100 },
    );
    const [any] = await store.segmentsInBox(WORLD, { minDueYear: 2030 }, 1);
    expect(any.planningYear).toBe(2024);
    expect(any.failedByYearEnd?.length).toBe(21);
    expect(any.failedByYearEnd?.[20]).toBeGreaterThanOrEqual(0.625);
  });

  test('at every zoom the runs together hold every segment once, with or without a filter', async () => {
    const { store, rows } = await openNetwork(open);
    for (let zoom = 0; zoom <= 11; zoom++) {
      await fc.assert(
        fc.asyncProperty(fc.oneof(fc.constant<Filter>({}), filters), async (filter) => {
          const kept = rows.filter((row) => keeps(filter, row));
          const runs = await store.runsInBox(zoom, WORLD, filter);
          const total = (of: (run: (typeof runs)[number]) => number) => runs.reduce((sum, run) => sum + of(run), 0);
          expect(total((run) => run.segments)).toBe(kept.length);
          const lengthM = kept.reduce((sum, row) => sum + row.sealedLengthM, 0);
          expect(total((run) => run.sealedLengthM)).toBeCloseTo(lengthM, 5);
          const distressedM = kept.reduce(
            (sum, row) => sum + ((row.damagedShare ?? 0) >= 0.1 ? row.sealedLengthM : 0),
            0,
          );
          expect(total((run) => run.distressedM)).toBeCloseTo(distressedM, 5);
          expect(runs.every((run) => run.segments > 0)).toBe(true);
        }),
        { seed: zoom, numRuns: 6 },
      );
    }
  });

  test('the shares and due year of a run are means weighted by sealed length', async () => {
    const { store, rows } = await openNetwork(open);
    for (const run of await store.runsInBox(3, WORLD, {})) {
      const members = rows.filter((row) => row.facilityId === run.facilityId);
      if (run.segments !== members.length) continue;
      const due = members.filter((row) => row.dueYear !== null);
      const dueLengthM = due.reduce((sum, row) => sum + row.sealedLengthM, 0);
      const mean = due.reduce((sum, row) => sum + row.sealedLengthM * (row.dueYear ?? 0), 0) / dueLengthM;
      expect(run.dueYear).toBeCloseTo(mean, 6);
      const shares = members.flatMap(({ damagedShare }) => damagedShare ?? []);
      expect(run.maxDamagedShare).toBe(Math.max(...shares));
      const last = run.failedByYearEnd?.[20] ?? Number.NaN;
      expect(last).toBeGreaterThanOrEqual(20 / 32);
      expect(last).toBeLessThanOrEqual(22 / 32);
    }
  });

  test('runs are summed as if every forecast was read back, however its states came', async () => {
    const { store } = await open();
    const network = sampleNetwork(NETWORK);
    await loadNetwork(store, network);
    const states = await forecastAll(store, [...network.segments.map(({ id }) => id)].reverse());
    const [first, second, third, ...others] = states;
    const uneven = { ...sampleForecast({ dueYear: 2044 }), failedByYearEnd: [0.25, 0.75] };
    const ways: Record<string, SegmentState[][]> = {
      'all at once': [states],
      'in batches, one of them empty': [others, [], [third, first], [second]],
      'some without forecast': [[{ ...first, damagedShare: 0.875, forecast: null }], states.slice(1)],
      'some left out': [others],
      none: [],
      'one twice': [states, [{ ...first, damagedShare: 0.9375, forecast: null }]],
      'of other horizons': [[{ ...first, forecast: uneven }], others, [second, { ...third, forecast: uneven }]],
      'one of no segment': [states, [{ ...first, segmentId: 'nowhere', damagedShare: 1 }]],
    };
    const settings = await store.readSettings();
    const sums = async () => (await store.runsInBox(5, WORLD, {})).sort((a, b) => a.runId - b.runId);
    for (const [way, batches] of Object.entries(ways)) {
      await store.updateForecast({ budget: {}, states: batches });
      const written = await sums();
      // Another threshold and back: the sums are made anew from what is stored.
      await store.writeSettings({ ...settings, failureThresholdShare: 0.35 });
      await store.writeSettings(settings);
      expect(written, way).toEqual(await sums());
    }
  });

  test('another failure threshold changes what counts as distressed, and the view version', async () => {
    const { store, rows } = await openNetwork(open);
    const before = await store.viewVersion();
    await store.writeSettings({ ...(await store.readSettings()), failureThresholdShare: 0.3 });
    expect(await store.viewVersion()).not.toBe(before);
    const distressedM = rows.reduce((sum, row) => sum + ((row.damagedShare ?? 0) >= 0.3 ? row.sealedLengthM : 0), 0);
    for (const filter of [{}, { maxDamagedShare: 1 }]) {
      const runs = await store.runsInBox(8, WORLD, filter);
      expect(runs.reduce((sum, run) => sum + run.distressedM, 0)).toBeCloseTo(distressedM, 5);
      expect((await store.summarise(filter)).distressedM).toBeCloseTo(distressedM, 5);
    }
  });

  test('a segment that moves to another facility moves between runs', async () => {
    const { store } = await openNetwork(open);
    const network = sampleNetwork(NETWORK);
    const load = await store.beginLoad();
    load.write({ kind: 'segments', rows: [{ ...network.segments[0], facilityId: 'F5' }] });
    load.commit();
    const runs = await store.runsInBox(0, WORLD, {});
    const segmentsOf = (id: string) =>
      runs.filter((run) => run.facilityId === id).reduce((sum, run) => sum + run.segments, 0);
    expect([segmentsOf('F0'), segmentsOf('F5')]).toEqual([39, 41]);
  });

  test('the bounds hold every segment; an empty store has none', async () => {
    const { store: empty } = await open();
    expect(await empty.networkBounds()).toBeNull();
    expect(await empty.runsInBox(5, WORLD, {})).toEqual([]);
    expect((await empty.summarise({})).ageYearsRange).toBeNull();
    const { store } = await openNetwork(open);
    const bounds = await store.networkBounds();
    const boxes = sampleNetwork(NETWORK).segments.map(({ geometry }) => boxOf(geometry));
    expect(bounds?.[0]).toBeCloseTo(Math.min(...boxes.map((box) => box[0])), 4);
    expect(bounds?.[3]).toBeCloseTo(Math.max(...boxes.map((box) => box[3])), 4);
  });
}
