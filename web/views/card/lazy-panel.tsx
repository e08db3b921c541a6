import { type ComponentProps, lazy, Suspense } from 'react';
import { Loading } from '../shared/states.tsx';
import type { SegmentPanel } from './panel.tsx';

/** The card is fetched when the first segment is chosen: its charts would hold up the first drawing of the map. */
const Panel = lazy(async () => ({ default: (await import('./panel.tsx')).SegmentPanel }));

export function LazySegmentPanel(props: ComponentProps<typeof SegmentPanel>) {
  return (
    <Suspense fallback={<Loading what="the card" />}>
      <Panel {...props} />
    </Suspense>
  );
}
