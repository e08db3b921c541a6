import { type AnchorHTMLAttributes, type MouseEvent, useCallback, useMemo, useSyncExternalStore } from 'react';
import type { Filter } from '../../../server/schemas/filter.ts';
import { readFilter, writeFilter } from '../../state/filter.ts';
import { screenAddress } from '../../state/routes.ts';
import { readView, type View, writeView } from '../../state/view.ts';

/** The address is the one store of screen, filter and view; this file is the only one that touches the history. */
const CHANGED = 'kerfcast:address';

function subscribe(onChange: () => void): () => void {
  window.addEventListener('popstate', onChange);
  window.addEventListener(CHANGED, onChange);
  return () => {
    window.removeEventListener('popstate', onChange);
    window.removeEventListener(CHANGED, onChange);
  };
}
const readAddress = () => window.location.pathname + window.location.search;

/** Goes to an address of this program. `replace` leaves no step for the back button (a moving slider, a moving map). */
export function navigate(address: string, { replace = false } = {}): void {
  if (address === readAddress()) return;
  if (replace) window.history.replaceState(null, '', address);
  else window.history.pushState(null, '', address);
  window.dispatchEvent(new Event(CHANGED));
}

export interface Address {
  readonly path: string;
  readonly params: URLSearchParams;
}

const currentParams = () => new URLSearchParams(window.location.search);

export function useAddress(): Address {
  const address = useSyncExternalStore(subscribe, readAddress);
  return useMemo(() => {
    const { pathname, searchParams } = new URL(address, window.location.origin);
    return { path: pathname, params: searchParams };
  }, [address]);
}

/** The filter in the address, the same object as long as its text is the same, and the way to change it. */
export function useFilter(): readonly [Filter, (filter: Filter) => void] {
  const { params } = useAddress();
  const text = writeFilter(new URLSearchParams(), readFilter(params)).toString();
  const filter = useMemo(() => readFilter(new URLSearchParams(text)), [text]);
  const setFilter = useCallback((next: Filter) => {
    navigate(screenAddress(window.location.pathname, writeFilter(currentParams(), next)));
  }, []);
  return [filter, setFilter];
}

export type ViewChange = (change: Partial<View>, options?: { replace?: boolean }) => void;

/** Camera, colours, selection and order in the address, and the way to change them. */
export function useView(): readonly [View, ViewChange] {
  const { params } = useAddress();
  const view = useMemo(() => readView(params), [params]);
  const setView = useCallback<ViewChange>((change, options) => {
    navigate(screenAddress(window.location.pathname, writeView(currentParams(), change)), options);
  }, []);
  return [view, setView];
}

/** A link inside the program: goes there without loading the page again; opens a new tab as any link does. */
export function Link({ href, onClick, ...rest }: AnchorHTMLAttributes<HTMLAnchorElement> & { href: string }) {
  const follow = (event: MouseEvent<HTMLAnchorElement>) => {
    onClick?.(event);
    const wantsTab = event.button !== 0 || event.metaKey || event.ctrlKey || event.shiftKey || event.altKey;
    if (event.defaultPrevented || wantsTab) return;
    event.preventDefault();
    navigate(href);
  };
  return <a href={href} onClick={follow} {...rest} />;
}
