import { useMedia } from '../shared/use-media.ts';

/** True where the names of a chart's lines must leave room for the chart. */
export const useNarrow = (): boolean => useMedia('(max-width: 40rem)');
