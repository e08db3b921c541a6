import { expect, test } from 'vitest';
import type { OpenForTest } from './open-for-test.ts';
import { job } from './sample-jobs.ts';
import { facility, inspection, loadAll, ONE_OF_EACH, seal, segment } from './sample-records.ts';

/** Reading back what was loaded, and what a load may and may not leave. `open` gives an empty store. */
export function contractOfRecords(open: OpenForTest): void {
  test('records come back as they were written, also after reopening', async () => {
    const { store, reopen } = await open();
    await loadAll(store, ONE_OF_EACH);
    const again = await reopen();
    const found = await again.findSegment('S1');
    const { geometry, ...rest } = segment('S1');
    expect(found?.segment).toEqual({ ...rest, lon: expect.closeTo(-97.120_728, 5), lat: expect.closeTo(35.10025, 5) });
    expect(found?.geometry).toEqual(geometry);
    expect(found?.facility).toEqual(facility('A'));
    expect(found?.seals.map((s) => s.id)).toEqual(['k1', 'k2']);
    expect(found?.seals[1]).toEqual(seal('k2'));
    expect(found?.inspections).toEqual([inspection('i1')]);
    expect(await again.listFacilities()).toEqual([facility('A')]);
    expect(await again.findSegment('s1')).toBeNull();
    expect(await again.readFacilityDistricts()).toEqual(new Map([['A', 'North']]));
    expect(await again.readKeys('segments')).toEqual(new Set(['S1']));
    expect((await again.readSealDates()).get('S1')?.map(({ id }) => id)).toEqual(['k1', 'k2']);
    expect((await again.readClimateDays('W1')).map((d) => [d.day, d.maxC, d.precipitationMm])).toEqual([
      ['1969-12-31', null, 3.4],
      ['2000-02-29', 12.8, 0],
    ]);
    expect(await again.listStations()).toMatchObject([{ id: 'W1', elevationM: 300 }]);
    expect(await again.readUnitCosts()).toMatchObject([{ sealantClass: 'unknown', costPerM: 9.5 }]);
    expect(await again.countRecords()).toEqual({
      facilities: 1,
      segments: 1,
      seals: 2,
      inspections: 1,
      stations: 1,
      climate: 2,
      'unit-costs': 1,
    });
    await again.checkIntegrity();
  });

  test('elevations and lines of several parts are kept', async () => {
    const { store } = await open();
    const geometry = {
      type: 'MultiLineString' as const,
      coordinates: [
        [
          [-97.1, 35.1, 312.25],
          [-97.2, 35.2],
        ],
        [
          [179.9999999, -84.9999999],
          [-180, 85],
        ],
      ],
    };
    await loadAll(store, [...ONE_OF_EACH.slice(0, 1), { kind: 'segments', rows: [segment('S1', { geometry })] }]);
    expect((await store.findSegment('S1'))?.geometry).toEqual(geometry);
  });

  test('a second load of the same rows changes nothing; a changed row is updated; a new source alone is no change', async () => {
    const { store } = await open();
    const first = await loadAll(store, ONE_OF_EACH);
    expect(first.map((counts) => counts.inserted)).toEqual([1, 1, 2, 1, 1, 2, 1]);
    const version = await store.dataVersion();
    const second = await loadAll(store, ONE_OF_EACH);
    expect(second.map((counts) => counts.unchanged)).toEqual([1, 1, 2, 1, 1, 2, 1]);
    expect(second.every((counts) => counts.inserted + counts.updated === 0)).toBe(true);
    expect(await store.dataVersion()).toBe(version);
    const third = await loadAll(store, [
      { kind: 'facilities', rows: [facility('A', { sourceFile: 'again.csv', sourceRow: 9 })] },
      { kind: 'segments', rows: [segment('S1', { widthAtC: 10 }), segment('S2')] },
      { kind: 'inspections', rows: [inspection('i1', { damageShares: {} })] },
      { kind: 'climate', rows: [{ stationId: 'W1', day: '2000-02-29', maxC: 12.9, minC: -1.1, precipitationMm: 0 }] },
    ]);
    expect(third).toEqual([
      { inserted: 0, updated: 0, unchanged: 1 },
      { inserted: 1, updated: 1, unchanged: 0 },
      { inserted: 0, updated: 1, unchanged: 0 },
      { inserted: 0, updated: 1, unchanged: 0 },
    ]);
    expect(await store.dataVersion()).toBe(version + 1);
    expect((await store.findSegment('S1'))?.segment.widthAtC).toBe(10);
    expect((await store.findSegment('S1'))?.inspections[0].damageShares).toEqual({});
  });

  test('segments keep their number in tiles when they change', async () => {
    const { store } = await open();
    await loadAll(store, ONE_OF_EACH);
    const world = [-180, -85, 180, 85] as const;
    const [before] = await store.segmentsInBox(world, {}, 10);
    await loadAll(store, [{ kind: 'segments', rows: [segment('S0'), segment('S1', { sealedLengthM: 7 })] }]);
    const after = (await store.segmentsInBox(world, {}, 10)).find(({ id }) => id === 'S1');
    expect(after).toMatchObject({ rowId: before.rowId, sealedLengthM: 7 });
  });

  test('nothing is visible before the commit, and nothing is left after a rollback', async () => {
    const { store, reopen } = await open();
    await loadAll(store, ONE_OF_EACH.slice(0, 1));
    const load = await store.beginLoad();
    load.write({ kind: 'segments', rows: [segment('S1')] });
    expect((await store.countRecords()).segments).toBe(0);
    expect((await store.listFacilities()).length).toBe(1);
    load.rollback();
    load.rollback();
    expect((await store.countRecords()).segments).toBe(0);
    expect(await store.dataVersion()).toBe(1);
    const abandoned = await store.beginLoad();
    abandoned.write({ kind: 'segments', rows: [segment('S1')] });
    const again = await reopen();
    expect((await again.countRecords()).segments).toBe(0);
    await again.checkIntegrity();
  });

  test('a load waits for the one before it, and other writes keep their order behind both', async () => {
    const { store, beside } = await open();
    const worker = await beside();
    const first = await worker.beginLoad();
    first.write({ kind: 'facilities', rows: [facility('A')] });
    const second = store.beginLoad();
    const saved = [0.2, 0.4].map((progress) => store.saveJob(job('j', { progress })));
    expect(await store.findJob('j')).toBeNull();
    first.commit();
    const begun = await second;
    begun.write({ kind: 'segments', rows: [segment('S1')] });
    begun.commit();
    await Promise.all(saved);
    expect((await store.findJob('j'))?.progress).toBe(0.4);
    expect(await worker.countRecords()).toMatchObject({ facilities: 1, segments: 1 });
  });

  test('a row that points at a record not stored is refused by name, and the load can be rolled back', async () => {
    const { store } = await open();
    await loadAll(store, ONE_OF_EACH.slice(0, 2));
    const load = await store.beginLoad();
    expect(() => load.write({ kind: 'seals', rows: [seal('k', { segmentId: 'nowhere' })] })).toThrow(/segment nowhere/);
    expect(() => load.write({ kind: 'segments', rows: [segment('S9', { facilityId: 'Z' })] })).toThrow(/facility Z/);
    expect(() =>
      load.write({
        kind: 'climate',
        rows: [{ stationId: 'W9', day: '2000-01-01', maxC: 1, minC: 0, precipitationMm: null }],
      }),
    ).toThrow(/station W9/);
    load.rollback();
    expect(await store.countRecords()).toMatchObject({ segments: 1, seals: 0 });
  });
}
