import type { Store } from '../../../../server/store/store.ts';

/** An empty store, opened for one test. */
export interface StoreUnderTest {
  store: Store;
  /** Closes the store and opens the same records again. */ reopen(): Promise<Store>;
  /** Opens the same records a second time, as a worker does. */ beside(): Promise<Store>;
}

export type OpenForTest = () => Promise<StoreUnderTest>;
