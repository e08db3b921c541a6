import { expect, test } from 'vitest';
import type { OpenForTest } from './open-for-test.ts';
import { sampleForecast } from './sample-network.ts';
import { inspection, loadAll, ONE_OF_EACH, seal, segment } from './sample-records.ts';

/** What is known of the seal in place, before and after forecasts. */
export function contractOfStates(open: OpenForTest): void {
  test('the seal in place is the latest not removed, with the last look at it by the network’s method', async () => {
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
          inspection('last', { inspectedOn: '2018-03-01', damagedShare: 0.2 }),
          inspection('other', { inspectedOn: '2020-03-01', damagedShare: 0.9, method: 'sample-unit' }),
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
