import { type ReactNode, useEffect, useRef } from 'react';
import type { ClosureClash } from '../../../server/schemas/closures.ts';
import { formatMoment } from '../../state/closure-words.ts';

/** Tells the second of two editors what the first one changed meanwhile, and that nothing of the own is lost. */
export function ClashNote({
  clash,
  kept,
  children,
}: {
  clash: ClosureClash;
  /** What became of one's own change. */ kept: string;
  /** What to do now. */ children?: ReactNode;
}) {
  const note = useRef<HTMLElement>(null);
  useEffect(() => {
    note.current?.scrollIntoView({ block: 'nearest' });
  }, []);
  return (
    <section ref={note} className="banner caution clash" role="alert" aria-label="Changed meanwhile">
      <strong>Somebody else has changed this plan since you opened it.</strong>
      {clash.changes.length > 0 && (
        <ul>
          {clash.changes.map(({ revision, changedAt, sentence }) => (
            <li key={revision}>
              {sentence} <span className="soft nowrap">{formatMoment(changedAt)}</span>
            </li>
          ))}
        </ul>
      )}
      <p>{kept}</p>
      {children && <div className="row">{children}</div>}
    </section>
  );
}
