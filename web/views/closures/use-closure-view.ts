import { useCallback, useMemo } from 'react';
import { type ClosureView, readClosureView, writeClosureView } from '../../state/closure-view.ts';
import { screenAddress } from '../../state/routes.ts';
import { navigate, useAddress } from '../shared/url.tsx';

export type ClosureViewChange = (change: Partial<ClosureView>, options?: { replace?: boolean }) => void;

/** What of the Closures screen is in the address, and the way to change it. */
export function useClosureView(): readonly [ClosureView, ClosureViewChange] {
  const { params } = useAddress();
  const view = useMemo(() => readClosureView(params), [params]);
  const setView = useCallback<ClosureViewChange>((change, options) => {
    const now = new URLSearchParams(window.location.search);
    navigate(screenAddress(window.location.pathname, writeClosureView(now, change)), options);
  }, []);
  return [view, setView];
}
