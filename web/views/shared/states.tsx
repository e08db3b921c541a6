import { useQueryClient } from '@tanstack/react-query';
import type { ReactNode } from 'react';
import { describeError } from '../../api/request.ts';

/** Waiting for an answer. Says what for. */
export function Loading({ what }: { what: string }) {
  return (
    <div className="state" role="status">
      <div className="waiting-joint" aria-hidden="true" />
      <p>Reading {what}…</p>
    </div>
  );
}

/** Nothing to show, and what to do about it. */
export function Empty({ title, children, action }: { title: string; children?: ReactNode; action?: ReactNode }) {
  return (
    <div className="state">
      <h2>{title}</h2>
      {children}
      {action}
    </div>
  );
}

/** Something went wrong: the reason in the server's words, and a way to try again. */
export function Failure({ what, error, retry }: { what: string; error: unknown; retry?: () => void }) {
  const client = useQueryClient();
  const again = () => {
    retry?.();
    // What failed beside it most likely failed for the same reason: one press mends the whole screen.
    void client.refetchQueries({ type: 'active', predicate: ({ state }) => state.status === 'error' });
  };
  return (
    <div className="state" role="alert">
      <h2>Could not read {what}</h2>
      <p>{describeError(error)}</p>
      {retry && (
        <button type="button" className="button" onClick={again}>
          Try again
        </button>
      )}
    </div>
  );
}

/** The three things a read can be, in one place. */
interface Answer<T> {
  readonly data: T | undefined;
  readonly error: unknown;
  readonly isError: boolean;
  readonly refetch: () => unknown;
}
export function Answered<T>({
  query,
  what,
  children,
}: {
  query: Answer<T>;
  what: string;
  children: (data: T) => ReactNode;
}) {
  if (query.data !== undefined) return children(query.data);
  if (query.isError) return <Failure what={what} error={query.error} retry={() => void query.refetch()} />;
  return <Loading what={what} />;
}

export type BannerKind = 'note' | 'caution' | 'fault';
export function Banner({ kind = 'note', children }: { kind?: BannerKind; children: ReactNode }) {
  return (
    <div className={`banner ${kind}`} role={kind === 'fault' ? 'alert' : 'note'}>
      {children}
    </div>
  );
}
