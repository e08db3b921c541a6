import type { Schedule } from '../../../../server/schemas/closures.ts';
import { formatLength, formatNumber } from '../../../state/format.ts';
import { DataTable } from '../../shared/data-table.tsx';
import { useUnits } from '../../shared/preferences.ts';

/** What does not fit, why, and what would make it fit. */
export function Unplaced({ schedule }: { schedule: Schedule }) {
  const units = useUnits();
  const { unplaced, refused } = schedule;
  if (unplaced.length === 0 && refused.length === 0) return null;
  return (
    <section className="card stack" aria-labelledby="unplaced-title">
      <h2 id="unplaced-title">What does not fit</h2>
      {unplaced.length > 0 && (
        <DataTable
          caption="Work without a window, with the reason and the cheapest change that would make it fit"
          captionUnseen
          maxHeight="28rem"
          rows={unplaced}
          rowKey={(_, index) => index}
          columns={[
            {
              key: 'facility',
              head: 'Facility',
              cell: ({ facilityName, part }) => (
                <span className="words">{part ? `${facilityName}, ${part}` : facilityName}</span>
              ),
            },
            { key: 'length', head: 'Joint', numeric: true, cell: ({ lengthM }) => formatLength(lengthM, units) },
            {
              key: 'segments',
              head: 'Segments',
              numeric: true,
              cell: ({ segmentIds }) => <span title={segmentIds.join(', ')}>{formatNumber(segmentIds.length)}</span>,
            },
            { key: 'reason', head: 'Reason', cell: ({ reason }) => <span className="words">{reason}</span> },
            {
              key: 'change',
              head: 'Cheapest change that makes it fit',
              cell: ({ change }) => (
                <span className="words">{change ?? <span className="soft">None was found.</span>}</span>
              ),
            },
          ]}
        />
      )}
      {refused.length > 0 && (
        <DataTable
          caption="Segments that cannot be scheduled at all"
          maxHeight="16rem"
          rows={refused}
          rowKey={({ segmentId }) => segmentId}
          columns={[
            { key: 'segment', head: 'Segment', cell: ({ segmentId }) => <span className="code">{segmentId}</span> },
            { key: 'reason', head: 'Reason', cell: ({ reason }) => <span className="words">{reason}</span> },
          ]}
        />
      )}
    </section>
  );
}
