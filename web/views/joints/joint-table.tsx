import { useMemo } from 'react';
import type { SortField } from '../../../server/schemas/filter.ts';
import type { SegmentRow } from '../../../server/schemas/forecast.ts';
import type { SegmentOrder } from '../../api/segments.ts';
import { useUnits } from '../shared/preferences.ts';
import { type VirtualColumn, VirtualTable } from '../shared/virtual-table.tsx';
import { JOINT_COLUMNS } from './columns.tsx';

interface Props {
  readonly rows: readonly SegmentRow[];
  readonly matched: number;
  readonly order: SegmentOrder;
  readonly stale: boolean;
  readonly selectedId: string | null;
  readonly onSelect: (segmentId: string) => void;
  readonly onOrder: (order: SegmentOrder) => void;
  readonly onNeedMore: () => void;
}

/** The segments of this view; the first cell of a row opens its card. */
export function JointTable({ selectedId, onSelect, ...rest }: Props) {
  const units = useUnits();
  const columns = useMemo(
    () =>
      JOINT_COLUMNS.map((column, place): VirtualColumn<SegmentRow, SortField> => {
        if (place > 0) return { ...column, cell: (row) => column.cell(row, units) };
        return {
          ...column,
          cell: (row) => (
            <button
              type="button"
              className="row-open"
              aria-pressed={row.id === selectedId}
              onClick={() => onSelect(row.id)}
            >
              {column.cell(row, units)}
            </button>
          ),
        };
      }),
    [units, selectedId, onSelect],
  );
  return (
    <VirtualTable
      {...rest}
      label="Joints table"
      caption="Segments of this view. Choose a segment to open its card."
      className="joints-scroll"
      columns={columns}
      rowKey={({ id }) => id}
      rowPx={36}
      rowProps={({ id }) => ({ className: id === selectedId ? 'chosen' : undefined })}
    />
  );
}
