import type { ProgramWork, WorkSort } from '../../../../server/schemas/program.ts';
import { formatLength, formatMoney, formatShare } from '../../../state/format.ts';
import { WHY_LABELS } from '../../../state/program-words.ts';
import type { Units } from '../../../state/units.ts';
import { JOINT_TYPE_LABELS, labelOf, SEALANT_CLASS_LABELS } from '../../../state/words.ts';
import type { VirtualColumn } from '../../shared/virtual-table.tsx';

export type WorkColumn = VirtualColumn<ProgramWork, WorkSort>;

/** The key of the segment, which opens its card. */
export const segmentColumn = (selectedId: string | null, onSelect: (segmentId: string) => void): WorkColumn => ({
  id: 'segment',
  head: 'Segment',
  sort: 'segmentId',
  widthPx: 132,
  cell: ({ segmentId }) => (
    <button
      type="button"
      className="row-open"
      aria-pressed={segmentId === selectedId}
      onClick={() => onSelect(segmentId)}
    >
      <span className="code">{segmentId}</span>
    </button>
  ),
});

export const facilityColumn: WorkColumn = {
  id: 'facility',
  head: 'Facility',
  sort: 'facilityId',
  widthPx: 230,
  cell: ({ facilityName }) => <span title={facilityName}>{facilityName}</span>,
};

export const lengthColumn = (units: Units): WorkColumn => ({
  id: 'length',
  head: 'Length',
  sort: 'lengthM',
  numeric: true,
  highFirst: true,
  widthPx: 92,
  cell: ({ lengthM }) => formatLength(lengthM, units),
});

export const classColumn: WorkColumn = {
  id: 'class',
  head: 'Reseal with',
  sort: 'sealantClass',
  widthPx: 210,
  cell: ({ sealantClass, sealantClassInPlace }) => (
    <>
      {SEALANT_CLASS_LABELS[sealantClass]}
      {sealantClass !== sealantClassInPlace && (
        <span className="soft small second-line">in place: {labelOf(SEALANT_CLASS_LABELS, sealantClassInPlace)}</span>
      )}
    </>
  ),
};

export const costColumn = (currency: string): WorkColumn => ({
  id: 'cost',
  head: 'Cost',
  sort: 'cost',
  numeric: true,
  highFirst: true,
  widthPx: 96,
  cell: ({ cost }) => formatMoney(cost, currency),
});

/** What the work list has beside them. */
export const reasonColumns = (currency: string): readonly WorkColumn[] => [
  {
    id: 'reason',
    head: 'Reason',
    widthPx: 420,
    cell: ({ reason, why }) => (
      <span className="work-reason" title={reason}>
        <span className="badge">{WHY_LABELS[why]}</span> {reason}
      </span>
    ),
  },
  {
    id: 'chance',
    head: 'Failed by then',
    sort: 'failedChance',
    numeric: true,
    highFirst: true,
    widthPx: 128,
    cell: ({ failedChance }) => formatShare(failedChance),
  },
  {
    id: 'saved',
    head: 'Waiting costs',
    sort: 'savedByNotWaiting',
    numeric: true,
    highFirst: true,
    widthPx: 128,
    cell: ({ savedByNotWaiting }) => formatMoney(savedByNotWaiting, currency),
  },
  {
    id: 'joint',
    head: 'Joint',
    widthPx: 190,
    cell: ({ jointType }) => JOINT_TYPE_LABELS[jointType],
  },
  { id: 'district', head: 'District', sort: 'district', widthPx: 190, cell: ({ district }) => district },
];
