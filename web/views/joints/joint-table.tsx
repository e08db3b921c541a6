import { columnSizingFeature, createColumnHelper, tableFeatures, useTable } from '@tanstack/react-table';
import { useVirtualizer } from '@tanstack/react-virtual';
import { type KeyboardEvent, useEffect, useRef } from 'react';
import type { SegmentRow } from '../../../server/schemas/forecast.ts';
import type { SegmentOrder } from '../../api/segments.ts';
import { useUnits } from '../shared/preferences.ts';
import { JOINT_COLUMNS } from './columns.tsx';
import { SortHeader } from './sort-header.tsx';

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

const ROW_PX = 36;
const features = tableFeatures({ columnSizingFeature });
const helper = createColumnHelper<typeof features, SegmentRow>();
const columns = helper.columns(JOINT_COLUMNS.map(({ id, widthPx }) => helper.display({ id, size: widthPx })));
const columnById = new Map(JOINT_COLUMNS.map((column) => [column.id, column]));

/**
 * Rows as far as they are read; only those in sight are in the page. It stays a real table: rows carry their number
 * (aria-rowindex) and the table its whole count, so that assistive technology knows where it is.
 */
export function JointTable({ rows, matched, order, stale, selectedId, onSelect, onOrder, onNeedMore }: Props) {
  const units = useUnits();
  const scroller = useRef<HTMLElement>(null);
  const table = useTable({ features, columns, data: rows as SegmentRow[], getRowId: (row) => row.id });
  const tableRows = table.getRowModel().rows;
  const virtual = useVirtualizer({
    count: tableRows.length,
    getScrollElement: () => scroller.current,
    estimateSize: () => ROW_PX,
    getItemKey: (index) => tableRows[index].id,
    overscan: 12,
  });
  const items = virtual.getVirtualItems();
  const lastShown = items.at(-1)?.index ?? 0;
  useEffect(() => {
    if (lastShown >= rows.length - 40 && rows.length < matched) onNeedMore();
  }, [lastShown, rows.length, matched, onNeedMore]);
  // biome-ignore lint/correctness/useExhaustiveDependencies: a new order is read from its first row
  useEffect(() => virtual.scrollToOffset(0), [order.sort, order.descending]);

  const widthPx = table.getTotalSize();
  const before = items[0]?.start ?? 0;
  const after = virtual.getTotalSize() - (items.at(-1)?.end ?? 0);
  const move = useRowKeys(scroller, virtual.scrollToIndex);

  return (
    <section
      className="table-scroll joints-scroll"
      aria-label="Joints table"
      // biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region must take the focus (WCAG 2.1.1)
      tabIndex={0}
      ref={scroller}
      data-stale={stale || undefined}
    >
      <table className="table sticky-first joints-table" style={{ width: widthPx }} aria-rowcount={matched + 1}>
        <caption className="unseen">Segments of this view. Choose a segment to open its card.</caption>
        <colgroup>
          {table.getAllLeafColumns().map((column) => (
            <col key={column.id} style={{ width: column.getSize() }} />
          ))}
        </colgroup>
        <thead>
          <tr aria-rowindex={1}>
            {JOINT_COLUMNS.map((column) => (
              <SortHeader key={column.id} column={column} order={order} onOrder={onOrder} />
            ))}
          </tr>
        </thead>
        <tbody onKeyDown={move}>
          {before > 0 && <Gap heightPx={before} />}
          {items.map(({ index }) => {
            const row = tableRows[index];
            const chosen = row.id === selectedId;
            return (
              <tr key={row.id} aria-rowindex={index + 2} data-index={index} className={chosen ? 'chosen' : undefined}>
                {row.getAllCells().map(({ column: { id } }, place) => {
                  const column = columnById.get(id);
                  const content = column?.cell(row.original, units);
                  return place === 0 ? (
                    <th key={id} scope="row">
                      <button type="button" className="row-open" aria-pressed={chosen} onClick={() => onSelect(row.id)}>
                        {content}
                      </button>
                    </th>
                  ) : (
                    <td key={id} className={column?.numeric ? 'number' : undefined}>
                      {content}
                    </td>
                  );
                })}
              </tr>
            );
          })}
          {after > 0 && <Gap heightPx={after} />}
        </tbody>
      </table>
      {rows.length < matched && <p className="small soft joints-more">Reading more…</p>}
    </section>
  );
}

/** Stands for the rows that are out of sight. */
const Gap = ({ heightPx }: { heightPx: number }) => (
  <tr className="gap">
    <td colSpan={JOINT_COLUMNS.length} style={{ height: heightPx }} />
  </tr>
);

/** Up and down go from row to row, also to rows that are not in the page yet. */
function useRowKeys(scroller: { current: HTMLElement | null }, scrollTo: (index: number) => void) {
  return (event: KeyboardEvent) => {
    const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
    const row = (event.target as HTMLElement).closest<HTMLElement>('tr[data-index]');
    if (step === undefined || !row) return;
    event.preventDefault();
    const next = Number(row.dataset.index) + step;
    if (next < 0) return;
    scrollTo(next);
    requestAnimationFrame(() =>
      scroller.current?.querySelector<HTMLElement>(`tr[data-index="${next}"] button`)?.focus(),
    );
  };
}
