import { expect, test } from 'vitest';
import type { Job } from '../../../../server/schemas/job.ts';
import type { Load } from '../../../../server/schemas/load.ts';
import type { UnitCost } from '../../../../server/schemas/unit-cost.ts';
import type { RecordBatch, Store } from '../../../../server/store/store.ts';
import { sampleForecast } from './sample-network.ts';
import { facility, inspection, loadAll, seal, segment } from './sample-records.ts';

/** An empty store, opened for one test. */
export interface StoreUnderTest {
  store: Store;
  /** Closes the store and opens the same records again. */ reopen(): Promise<Store>;
  /** Opens the same records a second time, as a worker does. */ beside(): Promise<Store>;
}

export type OpenForTest = () => Promise<StoreUnderTest>;

const ONE_OF_EACH: RecordBatch[] = [
  { kind: 'facilities', rows: [facility('A')] },
  { kind: 'segments', rows: [segment('S1')] },
  { kind: 'seals', rows: [seal('k2'), seal('k1', { installedFrom: '2004-01-01', installedTo: '2004-12-31' })] },
  { kind: 'inspections', rows: [inspection('i1')] },
  { kind: 'stations', rows: [{ id: 'W1', name: 'Field', lon: -97, lat: 35, elevationM: 300 }] },
  {
    kind: 'climate',
    rows: [
      { stationId: 'W1', day: '2000-02-29', maxC: 12.8, minC: -1.1, precipitationMm: 0 },
      { stationId: 'W1', day: '1969-12-31', maxC: null, minC: null, precipitationMm: 3.4 },
    ],
  },
  {
    kind: 'unit-costs',
    rows: [
      { sealantClass: 'unknown', jointType: 'any', costPerM: 9.5, pricedOn: null, priceSource: null },
    ] satisfies UnitCost[],
  },
];

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

/** What is known of the seal in place, before and after forecasts. */
export function contractOfStates(open: OpenForTest): void {
  test('the seal in place is the latest not removed, with the last look at it', async () => {
    const { store } = await open();
    await loadAll(store, [
      ...ONE_OF_EACH.slice(0, 2),
      {
        kind: 'seals',
        rows: [
          seal('old', { installedFrom: '2001-01-01', installedTo: '2001-12-31', sealantClass: 'hot-applied' }),
          seal('now', { installedFrom: '2012-01-01', installedTo: '2012-12-31', sealantClass: 'polysulfide' }),
          seal('gone', { installedFrom: '2014-01-01', installedTo: '2014-01-01', removedOn: '2015-01-01' }),
        ],
      },
      {
        kind: 'inspections',
        rows: [
          inspection('before', { inspectedOn: '2012-03-01', damagedShare: 0.9 }),
          inspection('early', { inspectedOn: '2015-03-01', damagedShare: 0.1 }),
          inspection('last', { inspectedOn: '2018-03-01', damagedShare: 0.2, method: 'sample-unit' }),
        ],
      },
    ]);
    const state = await store.findState('S1');
    // From the middle of 2012 (1 July, a leap year) to 1 June 2024: 4352.5 days by the calendar.
    expect(state).toEqual({
      segmentId: 'S1',
      sealId: 'now',
      sealantClass: 'polysulfide',
      installedFrom: '2012-01-01',
      installedTo: '2012-12-31',
      ageYears: expect.closeTo(4352.5 / 365.25, 6),
      lastInspectedOn: '2018-03-01',
      damagedShare: 0.2,
      forecast: null,
    });
    expect(await store.findState('S2')).toBeNull();
  });

  test('a forecast replaces states, report, draws and budget together, and earlier models stay', async () => {
    const { store } = await open();
    expect(await store.modelVersion()).toBeNull();
    expect(await store.readModelReport()).toBeNull();
    expect(await store.readBudget()).toBeNull();
    await loadAll(store, ONE_OF_EACH);
    const state = await store.findState('S1');
    if (!state) throw new Error('no state');
    const forecast = sampleForecast();
    const write = (note: string, draw: number) =>
      store.writeForecast({
        report: { version: 0, note },
        draws: Uint8Array.of(draw, 0, 255),
        budget: { modelVersion: 0, note },
        states: [[{ ...state, ageYears: 8.5, forecast }]],
      });
    const viewBefore = await store.viewVersion();
    expect(await write('first', 1)).toBe(1);
    expect(await write('second', 2)).toBe(2);
    expect(await store.viewVersion()).not.toBe(viewBefore);
    expect(await store.modelVersion()).toBe(2);
    expect(await store.readModelReport()).toEqual({ version: 2, note: 'second' });
    expect(await store.readModelReport(1)).toEqual({ version: 1, note: 'first' });
    expect(Array.from((await store.readModelDraws(1)) ?? [])).toEqual([1, 0, 255]);
    expect(await store.readBudget()).toEqual({ modelVersion: 2, note: 'second' });
    await store.writeBudget({ note: 'priced anew' });
    expect(await store.readBudget()).toEqual({ note: 'priced anew' });
    const kept = await store.findState('S1');
    expect(kept).toEqual({
      ...state,
      ageYears: 8.5,
      forecast: { ...forecast, failedByYearEnd: forecast.failedByYearEnd.map((p) => expect.closeTo(p, 6)) },
    });
  });

  test('a forecast made again with the same model replaces states and budget; without a model it is refused', async () => {
    const { store } = await open();
    await loadAll(store, ONE_OF_EACH);
    const state = await store.findState('S1');
    if (!state) throw new Error('no state');
    await expect(store.updateForecast({ budget: {}, states: [] })).rejects.toThrow(/no model/);
    const states = (dueYear: number) => [[{ ...state, forecast: sampleForecast({ dueYear }) }]];
    await store.writeForecast({ report: { note: 1 }, draws: Uint8Array.of(7), budget: {}, states: states(2031) });
    const view = await store.viewVersion();
    expect(await store.updateForecast({ budget: { modelVersion: 0 }, states: states(2029) })).toBe(1);
    expect(await store.viewVersion()).not.toBe(view);
    expect((await store.findState('S1'))?.forecast?.dueYear).toBe(2029);
    expect(await store.readBudget()).toEqual({ modelVersion: 1 });
    expect(await store.readModelReport()).toEqual({ note: 1 });
    await store.updateForecast({ budget: {}, states: [] });
    expect((await store.findState('S1'))?.forecast).toBeNull();
  });

  test('a forecast that fails half way leaves the earlier one', async () => {
    const { store } = await open();
    await loadAll(store, ONE_OF_EACH);
    async function* failing() {
      yield [];
      throw new Error('no numbers');
    }
    const attempt = store.writeForecast({ report: {}, draws: new Uint8Array(), budget: {}, states: failing() });
    await expect(attempt).rejects.toThrow('no numbers');
    expect(await store.modelVersion()).toBeNull();
    expect(await store.readBudget()).toBeNull();
  });

  test('a load keeps the forecast of a seal still in place and drops that of a seal replaced', async () => {
    const { store } = await open();
    await loadAll(store, [
      ...ONE_OF_EACH.slice(0, 1),
      { kind: 'segments', rows: [segment('S1'), segment('S2')] },
      { kind: 'seals', rows: [seal('k1'), seal('k2', { segmentId: 'S2' })] },
    ]);
    const states = await Promise.all(['S1', 'S2'].map((id) => store.findState(id)));
    const withForecast = states.flatMap((state) => (state ? [{ ...state, forecast: sampleForecast() }] : []));
    await store.writeForecast({ report: {}, draws: new Uint8Array(), budget: {}, states: [withForecast] });
    await loadAll(store, [
      { kind: 'inspections', rows: [inspection('i', { segmentId: 'S1', damagedShare: 0.3 })] },
      {
        kind: 'seals',
        rows: [seal('k3', { segmentId: 'S2', installedFrom: '2023-01-01', installedTo: '2023-01-01' })],
      },
    ]);
    expect(await store.findState('S1')).toMatchObject({ damagedShare: 0.3, forecast: { dueYear: 2031 } });
    expect(await store.findState('S2')).toMatchObject({ sealId: 'k3', forecast: null });
    await store.writeForecast({ report: {}, draws: new Uint8Array(), budget: {}, states: [] });
    expect(await store.findState('S1')).toMatchObject({ damagedShare: 0.3, forecast: null });
  });
}

const job = (id: string, change: Partial<Job> = {}): Job => ({
  id,
  kind: 'forecast',
  state: 'running',
  title: 'Forecast',
  step: 'fitting',
  progress: 0.5,
  loadId: null,
  error: null,
  createdAt: '2024-06-01T10:00:00Z',
  finishedAt: null,
  ...change,
});

const loadRecord = (id: string, state: Load['state']): Load => ({
  id,
  state,
  jobId: null,
  choices: [],
  files: [],
  result: null,
  createdAt: '2024-06-01T10:00:00Z',
  error: null,
});

/** Settings, prices, jobs and loads. */
export function contractOfOffice(open: OpenForTest): void {
  test('settings start from the defaults and are kept', async () => {
    const { store, reopen } = await open();
    const settings = await store.readSettings();
    expect(settings).toMatchObject({
      agencyName: 'My agency',
      agencyInvented: false,
      currency: 'USD',
      failureThresholdShare: 0.1,
      inspectionMethod: 'joint-length',
      family: 'weibull',
      stationLimitKm: 150,
      escalationPerYear: 0.03,
      discountRatePerYear: 0.04,
      openJointCostPerMYear: 6,
      planningDate: null,
      baseMapUrl: null,
    });
    const changed = { ...settings, agencyName: 'Roads', failureThresholdShare: 0.25, planningDate: '2025-01-01' };
    await store.writeSettings(changed);
    expect(await (await reopen()).readSettings()).toEqual(changed);
  });

  test('prices are replaced as a whole; equal prices are no change', async () => {
    const { store } = await open();
    const price = (costPerM: number): UnitCost => ({
      sealantClass: 'polysulfide',
      jointType: 'longitudinal',
      costPerM,
      pricedOn: '2024-01-01',
      priceSource: 'bids',
      sourceFile: null,
      sourceRow: null,
    });
    const other: UnitCost = { ...price(4), jointType: 'any' };
    await store.replaceUnitCosts([price(8), other]);
    expect(await store.readUnitCosts()).toEqual([other, price(8)]);
    const version = await store.dataVersion();
    await store.replaceUnitCosts([other, price(8)]);
    expect(await store.dataVersion()).toBe(version);
    await store.replaceUnitCosts([price(9)]);
    expect(await store.readUnitCosts()).toEqual([price(9)]);
    await store.replaceUnitCosts([]);
    expect(await store.dataVersion()).toBe(version + 2);
  });

  test('the newest 200 jobs and loads are kept, the newest first', async () => {
    const { store, reopen } = await open();
    for (let i = 0; i < 205; i++) await store.saveJob(job(`j${i}`, { state: 'done' }));
    await store.saveJob(job('j100', { state: 'failed', error: 'no records' }));
    const again = await reopen();
    const kept = await again.listJobs(1000);
    expect([kept.length, kept[0].id, kept.at(-1)?.id]).toEqual([200, 'j204', 'j5']);
    expect((await again.findJob('j100'))?.error).toBe('no records');
    expect(await again.findJob('j4')).toBeNull();
    await again.saveLoad(loadRecord('l1', 'ready'));
    await again.saveLoad(loadRecord('l2', 'done'));
    expect((await again.listLoads(1)).map(({ id }) => id)).toEqual(['l2']);
    expect(await again.findLoad('l1')).toEqual(loadRecord('l1', 'ready'));
    expect(await again.findLoad('l3')).toBeNull();
  });

  test('work under way when the server stopped is marked, finished work is not', async () => {
    const { store, reopen } = await open();
    for (const state of ['queued', 'running', 'done', 'cancelled'] as const) await store.saveJob(job(state, { state }));
    for (const state of ['previewing', 'loading', 'ready', 'done'] as const) {
      await store.saveLoad(loadRecord(state, state));
    }
    const again = await reopen();
    expect(await again.recoverInterrupted()).toBe(4);
    expect(await again.recoverInterrupted()).toBe(0);
    const states = await Promise.all(['queued', 'running', 'done', 'cancelled'].map((id) => again.findJob(id)));
    expect(states.map((found) => found?.state)).toEqual(['interrupted', 'interrupted', 'done', 'cancelled']);
    const loads = await Promise.all(['previewing', 'loading', 'ready', 'done'].map((id) => again.findLoad(id)));
    expect(loads.map((found) => found?.state)).toEqual(['failed', 'failed', 'ready', 'done']);
    expect((await again.findJob('running'))?.finishedAt).not.toBeNull();
  });
}
