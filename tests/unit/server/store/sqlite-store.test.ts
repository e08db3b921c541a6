import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, describe } from 'vitest';
import { openSqliteStore } from '../../../../server/store/sqlite/open.ts';
import type { Store } from '../../../../server/store/store.ts';
import { contractOfRecords, type OpenForTest } from './store-contract.ts';

const opened: Store[] = [];
const folders: string[] = [];

afterEach(async () => {
  for (const store of opened.splice(0)) await store.close();
  for (const folder of folders.splice(0)) rmSync(folder, { recursive: true, force: true });
});

const openOne = (path: string): Store => {
  const store = openSqliteStore(path, { today: () => '2024-06-01' });
  opened.push(store);
  return store;
};

const open: OpenForTest = async () => {
  const folder = mkdtempSync(join(tmpdir(), 'store-test-'));
  folders.push(folder);
  const path = join(folder, 'store.sqlite');
  const store = openOne(path);
  return {
    store,
    reopen: async () => {
      await store.close();
      opened.splice(opened.indexOf(store), 1);
      return openOne(path);
    },
  };
};

describe('records', () => contractOfRecords(open));
