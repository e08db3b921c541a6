import { useQuery } from '@tanstack/react-query';
import { useEffect, useRef } from 'react';
import { ApiProblem } from '../../api/request.ts';
import { screenAddress } from '../../state/routes.ts';
import { segmentCardQuery } from '../shared/queries.ts';
import { Answered, Empty } from '../shared/states.tsx';
import { Link, useAddress } from '../shared/url.tsx';
import { SegmentCardBody } from './card-body.tsx';
import './card.css';

interface Props {
  readonly segmentId: string;
  readonly onClose: () => void;
  /** Offers a way to the map, where the panel stands beside the table. */ readonly mapLink?: boolean;
}

/** The card of the chosen segment, beside the map or the table. Takes the focus when it opens and gives it back; Escape closes it. */
export function SegmentPanel({ segmentId, onClose, mapLink = false }: Props) {
  const query = useQuery(segmentCardQuery(segmentId));
  const heading = useRef<HTMLHeadingElement>(null);
  const opener = useRef<Element | null>(null);
  const close = () => {
    onClose();
    const from = opener.current;
    // What opened it may be gone since, for example from the list of what is in view.
    const back = from instanceof HTMLElement && from.isConnected ? from : document.getElementById('main');
    back?.focus({ preventScroll: true });
  };
  // biome-ignore lint/correctness/useExhaustiveDependencies: another segment is another card, read from its top
  useEffect(() => {
    if (document.activeElement !== heading.current) opener.current = document.activeElement;
    heading.current?.focus({ preventScroll: window.innerWidth > 768 });
  }, [segmentId]);
  const unknown = query.error instanceof ApiProblem && query.error.status === 404;
  return (
    <aside
      className="segment-panel"
      aria-label="Segment card"
      onKeyDown={(event) => event.key === 'Escape' && !event.defaultPrevented && close()}
    >
      <div className="segment-panel-head">
        <h2 className="code" tabIndex={-1} ref={heading}>
          {segmentId}
        </h2>
        <div className="row push" style={{ gap: 'var(--space-1)' }}>
          {mapLink && <ShowOnMap segmentId={segmentId} />}
          <button type="button" className="button quiet" onClick={close}>
            Close
          </button>
        </div>
      </div>
      {unknown ? (
        <Empty title="No such segment">
          <p>No segment is called {segmentId}. It may have been renamed by a later load.</p>
        </Empty>
      ) : (
        <Answered query={query} what="the segment">
          {(card) => <SegmentCardBody card={card} />}
        </Answered>
      )}
    </aside>
  );
}

/** The map with this segment chosen and sought: the camera is left out, so that the map goes to it. */
export function ShowOnMap({ segmentId }: { segmentId: string }) {
  const { params } = useAddress();
  const next = new URLSearchParams(params);
  next.set('segment', segmentId);
  next.delete('at');
  return (
    <Link className="button quiet" href={screenAddress('/map', next)}>
      Show on map
    </Link>
  );
}
