import { afterAll, beforeAll, expect, test } from 'vitest';
import { runForecast } from '../../../../server/forecasting/run-forecast.ts';
import { segmentCard } from '../../../../server/forecasting/segment-card.ts';
import { TaskCancelled, type TaskContext } from '../../../../server/jobs/task.ts';
import type { Budget } from '../../../../server/schemas/budget.ts';
import type { ModelReport } from '../../../../server/schemas/model.ts';
import { openSqliteStore } from '../../../../server/store/sqlite/open.ts';
import type { Store } from '../../../../server/store/store.ts';
import { facility, inspection, loadAll, seal, segment } from '../store/sample-records.ts';

let store: Store;
const context = (cancelled = () => false): TaskContext => ({
  store,
  dataFolder: '',
  today: '2026-06-01',
  progress: () => undefined,
  keep: () => undefined,
  cancelled,
});

beforeAll(async () => {
  store = openSqliteStore(':memory:', { today: () => '2026-06-01' });
  const ids = ['plain', 'unsealed', 'left', 'failed', 'bare'];
  await loadAll(store, [
    { kind: 'facilities', rows: [facility('A', { recordsFrom: null })] },
    {
      kind: 'segments',
      rows: [
        segment('plain', { district: 'East' }),
        segment('unsealed', { district: 'West', unsealedByPolicy: true }),
        segment('left', { district: 'South', leftAloneReason: 'to be overlaid in 2028' }),
        segment('failed', { district: 'East' }),
        segment('bare', { district: 'West' }),
      ],
    },
    {
      kind: 'seals',
      rows: ids.slice(0, 4).map((id) => seal(`${id}/1`, { segmentId: id, sealantClass: 'polysulfide' })),
    },
    {
      kind: 'inspections',
      rows: [
        inspection('p', { segmentId: 'plain', inspectedOn: '2024-05-01', damagedShare: 0.03 }),
        inspection('u', { segmentId: 'unsealed', inspectedOn: '2024-05-01', damagedShare: 0.03 }),
        inspection('l', { segmentId: 'left', inspectedOn: '2024-05-01', damagedShare: 0.03 }),
        inspection('f', { segmentId: 'failed', inspectedOn: '2024-05-01', damagedShare: 0.3 }),
      ],
    },
    {
      kind: 'unit-costs',
      rows: [{ sealantClass: 'polysulfide', jointType: 'any', costPerM: 10, pricedOn: null, priceSource: null }],
    },
  ]);
  await runForecast(context());
});
afterAll(() => store.close());

test('a segment unsealed by policy has no seal to fail: no forecast, and it teaches the fit nothing', async () => {
  expect(await store.findState('unsealed')).toMatchObject({ sealId: null, ageYears: null, forecast: null });
  const { dataUse, fit } = (await store.readModelReport()) as ModelReport;
  expect(dataUse.find(({ rule }) => rule === 'unsealed-by-policy')).toMatchObject({ seals: 1, examples: ['unsealed'] });
  expect(fit.observations).toBe(3);
  expect((await segmentCard(store, 'unsealed'))?.curve).toBeNull();
});

test('one left alone on purpose is forecast as its like, but no year is named and no money asked', async () => {
  const [left, plain] = [await store.findState('left'), await store.findState('plain')];
  expect(left?.forecast?.failedByYearEnd).toEqual(plain?.forecast?.failedByYearEnd);
  expect(left?.forecast?.dueYear).toBeNull();
  expect(left?.forecast?.dueReason).toMatch(/^Left alone on purpose, so no year is named\. Otherwise: /);
  const { rows, assumptions } = (await store.readBudget()) as Budget;
  expect(new Set(rows.map(({ district }) => district))).toEqual(new Set(['East']));
  expect(assumptions.join(' ')).toContain(
    'Left out: 2 segments without a seal in place or unsealed by policy, 1 left alone on purpose.',
  );
});

test('a known failure is certain in every year, and due in the first', async () => {
  const { forecast } = (await store.findState('failed')) ?? {};
  expect(new Set(forecast?.failedByYearEnd)).toEqual(new Set([1]));
  expect(forecast).toMatchObject({ knownFailed: true, failedNowProbability: 1, dueYear: 2026, planningYear: 2026 });
});

test('a segment without any seal keeps its place in the lists, without a forecast', async () => {
  expect(await store.findState('bare')).toMatchObject({ sealId: null, sealantClass: null, forecast: null });
  expect((await store.summarise({})).segments).toBe(5);
});

test('the chance of failure never falls from year to year, and the median lies where it passes one half', async () => {
  const { forecast } = (await store.findState('plain')) ?? {};
  if (!forecast) throw new Error('no forecast');
  const shares = forecast.failedByYearEnd;
  expect(shares).toHaveLength(21);
  expect(shares).toEqual(shares.toSorted((a, b) => a - b));
  const median = forecast.medianFailureYear ?? Number.NaN;
  const at = Math.floor(median) - 2026;
  expect(shares[at]).toBeGreaterThanOrEqual(0.5 - 1e-6);
  if (at > 0) expect(shares[at - 1]).toBeLessThanOrEqual(0.5 + 1e-6);
});

test('a forecast stopped at any moment leaves the one before', async () => {
  let all = 0;
  await runForecast(context(() => all++ < 0));
  expect(all).toBeGreaterThan(4);
  const before = [await store.readBudget(), await store.viewVersion(), await store.findState('plain')];
  for (let stopAt = 0; stopAt < all; stopAt++) {
    let looks = 0;
    await expect(runForecast(context(() => looks++ >= stopAt))).rejects.toThrow(TaskCancelled);
    expect([await store.readBudget(), await store.viewVersion(), await store.findState('plain')]).toEqual(before);
  }
});
