import type { Closure } from '../../../../server/schemas/closures.ts';
import { formatCount } from '../../../state/format.ts';

/** What sets a closure apart, as words with a shape each. */
export function ClosureBadges({ closure }: { closure: Closure }) {
  const { state, locked, byHand, conflicts } = closure;
  return (
    <>
      {state === 'done' && <span className="badge accent">{MARKS.done} done</span>}
      {state === 'lost' && <span className="badge chalk">{MARKS.lost} lost to weather</span>}
      {locked && (
        <span className="badge">
          <LockIcon /> locked
        </span>
      )}
      {byHand && <span className="badge">moved by hand</span>}
      {conflicts.length > 0 && (
        <span className="badge fault">
          {MARKS.conflict} breaks {formatCount(conflicts.length, 'rule')}
        </span>
      )}
    </>
  );
}

export const MARKS = { done: '✓', lost: '✕', conflict: '!' } as const;

export const LockIcon = () => (
  <svg width="10" height="12" viewBox="0 0 10 12" aria-hidden="true">
    <rect x="1" y="5" width="8" height="6.5" fill="currentColor" />
    <path d="M2.8 5V3.4a2.2 2.2 0 0 1 4.4 0V5" fill="none" stroke="currentColor" strokeWidth="1.4" />
  </svg>
);
