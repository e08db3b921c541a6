import { useCallback, useMemo } from 'react';
import { type ProgramView, readProgramView, writeProgramView } from '../../state/program-view.ts';
import { screenAddress } from '../../state/routes.ts';
import { navigate, useAddress } from '../shared/url.tsx';

export type ProgramViewChange = (change: Partial<ProgramView>, options?: { replace?: boolean }) => void;

/** What of the Program screen is in the address, and the way to change it. */
export function useProgramView(): readonly [ProgramView, ProgramViewChange] {
  const { params } = useAddress();
  const view = useMemo(() => readProgramView(params), [params]);
  const setView = useCallback<ProgramViewChange>((change, options) => {
    const now = new URLSearchParams(window.location.search);
    navigate(screenAddress(window.location.pathname, writeProgramView(now, change)), options);
  }, []);
  return [view, setView];
}
