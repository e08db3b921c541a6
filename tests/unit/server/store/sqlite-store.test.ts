import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, describe } from 'vitest';
import { openSqliteStore } from '../../../../server/store/sqlite/open.ts';
import type { Store } from '../../../../server/store/store.ts';
import { contractOfClosures } from './closures-contract.ts';
import { contractOfHistories } from './histories-contract.ts';
import { contractOfLists, contractOfTiles } from './network-contract.ts';
import { contractOfOffice } from './office-contract.ts';
import type { OpenForTest } from './open-for-test.ts';
import { contractOfRecords } from './records-contract.ts';
import { contractOfPrograms, contractOfScenarios } from './scenarios-contract.ts';
import { contractOfStates } from './states-contract.ts';

const opened = new Set<Store>();
const folders: string[] = [];

const closeAll = async (): Promise<void> => {
  for (const store of opened) await store.close();
  opened.clear();
};

afterEach(async () => {
  await closeAll();
  for (const folder of folders.splice(0)) rmSync(folder, { recursive: true, force: true });
});

const openOne = (path: string): Store => {
  const store = openSqliteStore(path, { today: () => '2024-06-01' });
  opened.add(store);
  return store;
};

const open: OpenForTest = async () => {
  const folder = mkdtempSync(join(tmpdir(), 'store-test-'));
  folders.push(folder);
  const path = join(folder, 'store.sqlite');
  return {
    store: openOne(path),
    beside: async () => openOne(path),
    reopen: async () => {
      await closeAll();
      return openOne(path);
    },
  };
};

describe('records', () => contractOfRecords(open));
describe('states and forecasts', () => contractOfStates(open));
describe('settings, prices and jobs', () => contractOfOffice(open));
describe('histories', () => contractOfHistories(open));
describe('lists and totals', () => contractOfLists(open));
describe('tiles', () => contractOfTiles(open));
describe('scenarios', () => contractOfScenarios(open));
describe('programs', () => contractOfPrograms(open));
describe('closures', () => contractOfClosures(open));
