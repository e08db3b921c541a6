import { expect, test } from 'vitest';
import type { Store } from '../../../../server/store/store.ts';
import { facility, inspection, loadAll, seal, segment } from './sample-records.ts';

export interface StoreUnderTest {
  store: Store;
  /** Closes the store and opens the same records again. */ reopen(): Promise<Store>;
}

export type OpenForTest = () => Promise<StoreUnderTest>;

/** What every store must do, whatever database is behind it. `open` gives an empty store; the caller cleans up. */
export function contractOfRecords(open: OpenForTest): void {
  test('records come back as they were written, also after reopening', async () => {
    const { store, reopen } = await open();
    await loadAll(store, [
      { kind: 'facilities', rows: [facility('A')] },
      { kind: 'segments', rows: [segment('S1')] },
      { kind: 'seals', rows: [seal('k2'), seal('k1', { installedFrom: '2004-01-01', installedTo: '2004-12-31' })] },
      { kind: 'inspections', rows: [inspection('i1')] },
    ]);
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
  });
}
