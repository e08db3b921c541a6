import { expect, test } from 'vitest';
import type { UnitCost } from '../../../../server/schemas/unit-cost.ts';
import type { OpenForTest } from './open-for-test.ts';
import { job, loadRecord } from './sample-jobs.ts';

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

  test('a document is kept for each kind and model version; the newest is read unless one is asked for', async () => {
    const { store, reopen } = await open();
    expect(await store.readDocument('evidence')).toBeNull();
    await store.saveDocument('evidence', 2, { says: 'two' });
    await store.saveDocument('evidence', 10, { says: 'ten' });
    await store.saveDocument('evidence', 10, { says: 'ten again', missing: null });
    await store.saveDocument('comparison', 11, ['other']);
    const again = await reopen();
    expect(await again.readDocument('evidence')).toEqual({ says: 'ten again', missing: null });
    expect(await again.readDocument('evidence', 2)).toEqual({ says: 'two' });
    expect(await again.readDocument('evidence', 3)).toBeNull();
    expect(await again.readDocument('comparison')).toEqual(['other']);
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
