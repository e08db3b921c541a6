import { useSyncExternalStore } from 'react';

const narrowQuery = '(max-width: 40rem)';

/** True where the names of a chart's lines must leave room for the chart. */
export const useNarrow = (): boolean =>
  useSyncExternalStore(
    (listener) => {
      const query = window.matchMedia(narrowQuery);
      query.addEventListener('change', listener);
      return () => query.removeEventListener('change', listener);
    },
    () => window.matchMedia(narrowQuery).matches,
  );
