import { useSyncExternalStore } from 'react';
import type { ExternalStore } from '../../state/external-store.ts';
import { keptStore, withKept } from './kept-store.ts';

export interface DraftState<Draft> {
  readonly draft: Draft;
  readonly touched: boolean;
  /** What the draft is of has been changed elsewhere since it was begun. */ readonly overtaken: boolean;
  readonly change: (part: Partial<Draft>) => void;
  readonly forget: () => void;
  /** Goes on with the draft, on top of the thing as it is now. */ readonly carryOn: () => void;
}

interface Revised {
  readonly id: string;
  readonly revision: number;
}

/** Forms of things that change under a revision: what was typed and not saved, by the thing's id. */
export type KeptDrafts<Draft> = ExternalStore<
  Readonly<Record<string, { readonly revision: number; readonly draft: Draft }>>
>;
export const keptDrafts = <Draft>(name: string): KeptDrafts<Draft> => keptStore(name);

/** @param fresh the draft of the thing as it is stored: an untouched form follows it */
export function useKeptDraft<Draft>(
  drafts: KeptDrafts<Draft>,
  { id, revision }: Revised,
  fresh: Draft,
): DraftState<Draft> {
  const kept = useSyncExternalStore(drafts.subscribe, drafts.read)[id];
  const keep = (next: typeof kept | null) => drafts.write(withKept(drafts.read(), id, next));
  return {
    draft: kept?.draft ?? fresh,
    touched: kept !== undefined,
    overtaken: kept !== undefined && kept.revision !== revision,
    change: (part) => {
      const before = drafts.read()[id];
      keep({ revision: before?.revision ?? revision, draft: { ...(before?.draft ?? fresh), ...part } });
    },
    forget: () => keep(null),
    carryOn: () => kept && keep({ ...kept, revision }),
  };
}

/** Whether the form of a thing holds changes that are not saved. */
export const useWaiting = <Draft>(drafts: KeptDrafts<Draft>, { id }: Pick<Revised, 'id'>): boolean =>
  useSyncExternalStore(drafts.subscribe, drafts.read)[id] !== undefined;
