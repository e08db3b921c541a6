import { type SegmentsLink, segmentMapLink, segmentTableLink } from '../../state/evidence-odd.ts';
import { formatCount, formatNumber } from '../../state/format.ts';
import { Link } from '../shared/url.tsx';

/** The same segments on the map and in the table. Says so when an address cannot hold them all. */
export function OpenLinks({ what, link, segments }: { what: string; link: SegmentsLink; segments: number }) {
  const cut = link.held < segments;
  return (
    <span className="open-links">
      <Link href={link.map}>
        Map<span className="unseen">: {what}</span>
      </Link>
      <Link href={link.table}>
        Table<span className="unseen">: {what}</span>
      </Link>
      <span className="small soft nowrap">
        {cut ? `first ${formatNumber(link.held)} of ` : ''}
        {formatCount(segments, 'segment')}
      </span>
    </span>
  );
}

/** One segment: its card beside the table, or its place on the map. */
export const SegmentLinks = ({ segmentId }: { segmentId: string }) => (
  <span className="segment-links">
    <Link href={segmentTableLink(segmentId)}>{segmentId}</Link>
    <Link href={segmentMapLink(segmentId)}>
      map<span className="unseen"> of {segmentId}</span>
    </Link>
  </span>
);
