import type { ReactNode } from 'react';
import type { SortField } from '../../../server/schemas/filter.ts';
import type { SegmentRow } from '../../../server/schemas/forecast.ts';
import {
  formatAge,
  formatDay,
  formatDayRange,
  formatLength,
  formatShare,
  formatYear,
  formatYearRange,
  NOT_KNOWN,
} from '../../state/format.ts';
import type { Units } from '../../state/units.ts';
import { JOINT_TYPE_LABELS, labelOf, SEALANT_CLASS_LABELS } from '../../state/words.ts';

export interface JointColumn {
  readonly id: string;
  readonly head: string;
  /** The server can order by it. */ readonly sort?: SortField;
  readonly numeric?: boolean;
  /** The first press orders from the highest down, since that is what one looks for. */ readonly highFirst?: boolean;
  readonly widthPx: number;
  readonly cell: (row: SegmentRow, units: Units) => ReactNode;
}

/** Columns of the joints table, the forecast first, then what it rests on. */
export const JOINT_COLUMNS: readonly JointColumn[] = [
  { id: 'id', head: 'Segment', sort: 'id', widthPx: 128, cell: ({ id }) => <span className="code">{id}</span> },
  {
    id: 'due',
    head: 'Reseal in',
    sort: 'dueYear',
    numeric: true,
    widthPx: 104,
    cell: ({ dueYear }) => <strong>{formatYear(dueYear)}</strong>,
  },
  {
    id: 'failed',
    head: 'Failed by now',
    sort: 'failedNowProbability',
    numeric: true,
    highFirst: true,
    widthPx: 134,
    cell: ({ failedNowProbability }) => formatShare(failedNowProbability),
  },
  {
    id: 'facility',
    head: 'Facility',
    sort: 'facilityId',
    widthPx: 285,
    cell: ({ facilityName }) => <span title={facilityName}>{facilityName}</span>,
  },
  {
    id: 'fails',
    head: 'Fails in (80 % interval)',
    sort: 'medianFailureYear',
    numeric: true,
    widthPx: 205,
    cell: ({ medianFailureYear, lowerFailureYear, upperFailureYear }) =>
      medianFailureYear === null && lowerFailureYear === null ? (
        NOT_KNOWN
      ) : (
        <>
          {medianFailureYear === null ? 'later' : formatYear(medianFailureYear)}{' '}
          <span className="soft">({formatYearRange(lowerFailureYear, upperFailureYear)})</span>
        </>
      ),
  },
  {
    id: 'damaged',
    head: 'Damaged when seen',
    sort: 'damagedShare',
    numeric: true,
    highFirst: true,
    widthPx: 195,
    cell: ({ damagedShare }) => formatShare(damagedShare),
  },
  { id: 'seen', head: 'Last seen', widthPx: 115, cell: ({ lastInspectedOn }) => formatDay(lastInspectedOn) },
  {
    id: 'sealantClass',
    head: 'Sealant',
    sort: 'sealantClass',
    widthPx: 230,
    cell: ({ sealantClass, unsealedByPolicy }) =>
      unsealedByPolicy ? 'Unsealed by policy' : labelOf(SEALANT_CLASS_LABELS, sealantClass),
  },
  {
    id: 'jointType',
    head: 'Joint',
    sort: 'jointType',
    widthPx: 225,
    cell: ({ jointType }) => JOINT_TYPE_LABELS[jointType],
  },
  {
    id: 'length',
    head: 'Sealed joint',
    sort: 'sealedLengthM',
    numeric: true,
    highFirst: true,
    widthPx: 115,
    cell: (row, units) => formatLength(row.sealedLengthM, units),
  },
  {
    id: 'age',
    head: 'Age',
    sort: 'ageYears',
    numeric: true,
    highFirst: true,
    widthPx: 95,
    cell: ({ ageYears }) => formatAge(ageYears),
  },
  {
    id: 'installed',
    head: 'Installed',
    widthPx: 130,
    cell: ({ installedFrom, installedTo }) => formatDayRange(installedFrom, installedTo),
  },
  { id: 'district', head: 'District', sort: 'district', widthPx: 120, cell: ({ district }) => district },
];
