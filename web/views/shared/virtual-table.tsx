import { columnSizingFeature, createColumnHelper, type RowData, tableFeatures, useTable } from '@tanstack/react-table';
import { useVirtualizer } from '@tanstack/react-virtual';
import { type HTMLAttributes, type KeyboardEvent, type ReactNode, useEffect, useMemo, useRef } from 'react';
import { SortHeader, type TableOrder } from './sort-header.tsx';
import './virtual-table.css';

export interface VirtualColumn<Row, Sort extends string> {
  readonly id: string;
  readonly head: string;
  /** The server can order by it. */ readonly sort?: Sort;
  readonly numeric?: boolean;
  /** The first press orders from the highest down, since that is what one looks for. */ readonly highFirst?: boolean;
  readonly widthPx: number;
  readonly cell: (row: Row) => ReactNode;
}

interface Props<Row extends RowData, Sort extends string> {
  readonly label: string;
  readonly caption: string;
  readonly columns: readonly VirtualColumn<Row, Sort>[];
  readonly rows: readonly Row[];
  /** Rows in all, read and not yet read. */ readonly matched: number;
  readonly rowKey: (row: Row) => string;
  readonly rowPx: number;
  readonly order: TableOrder<Sort>;
  readonly stale: boolean;
  readonly className?: string;
  readonly rowProps?: (row: Row) => HTMLAttributes<HTMLTableRowElement>;
  readonly onOrder: (order: TableOrder<Sort>) => void;
  readonly onNeedMore: () => void;
}

const features = tableFeatures({ columnSizingFeature });

/**
 * Rows as far as they are read; only those in sight are in the page. It stays a real table: rows carry their number
 * (aria-rowindex) and the table its whole count, so that assistive technology knows where it is.
 */
export function VirtualTable<Row extends RowData, Sort extends string>(props: Props<Row, Sort>) {
  const { label, caption, columns: wanted, rows, matched, rowKey, rowPx, order, stale, onOrder, onNeedMore } = props;
  const scroller = useRef<HTMLElement>(null);
  const columns = useMemo(() => {
    const helper = createColumnHelper<typeof features, Row>();
    return helper.columns(wanted.map(({ id, widthPx }) => helper.display({ id, size: widthPx })));
  }, [wanted]);
  const table = useTable({ features, columns, data: rows as Row[], getRowId: rowKey });
  const tableRows = table.getRowModel().rows;
  const virtual = useVirtualizer({
    count: tableRows.length,
    getScrollElement: () => scroller.current,
    estimateSize: () => rowPx,
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

  const before = items[0]?.start ?? 0;
  const after = virtual.getTotalSize() - (items.at(-1)?.end ?? 0);
  const move = useRowKeys(scroller, virtual.scrollToIndex);

  return (
    <section
      className={`table-scroll virtual-scroll ${props.className ?? ''}`}
      aria-label={label}
      // biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region must take the focus (WCAG 2.1.1)
      tabIndex={0}
      ref={scroller}
      data-stale={stale || undefined}
    >
      <table
        className="table sticky-first virtual-table"
        style={{ width: table.getTotalSize(), '--row': `${rowPx}px` } as React.CSSProperties}
        aria-rowcount={matched + 1}
      >
        <caption className="unseen">{caption}</caption>
        <colgroup>
          {table.getAllLeafColumns().map((column) => (
            <col key={column.id} style={{ width: column.getSize() }} />
          ))}
        </colgroup>
        <thead>
          <tr aria-rowindex={1}>
            {wanted.map((column) => (
              <SortHeader key={column.id} column={column} order={order} onOrder={onOrder} />
            ))}
          </tr>
        </thead>
        <tbody onKeyDown={move}>
          {before > 0 && <Gap heightPx={before} columns={wanted.length} />}
          {items.map(({ index }) => {
            const { id, original } = tableRows[index];
            return (
              <tr key={id} aria-rowindex={index + 2} data-index={index} {...props.rowProps?.(original)}>
                {wanted.map((column, place) =>
                  place === 0 ? (
                    <th key={column.id} scope="row">
                      {column.cell(original)}
                    </th>
                  ) : (
                    <td key={column.id} className={column.numeric ? 'number' : undefined}>
                      {column.cell(original)}
                    </td>
                  ),
                )}
              </tr>
            );
          })}
          {after > 0 && <Gap heightPx={after} columns={wanted.length} />}
        </tbody>
      </table>
      {rows.length < matched && <p className="small soft virtual-more">Reading more…</p>}
    </section>
  );
}

/** Stands for the rows that are out of sight. */
const Gap = ({ heightPx, columns }: { heightPx: number; columns: number }) => (
  <tr className="gap">
    <td colSpan={columns} style={{ height: heightPx }} />
  </tr>
);

/** Up and down go from row to row, also to rows that are not in the page yet. */
function useRowKeys(scroller: { current: HTMLElement | null }, scrollTo: (index: number) => void) {
  return (event: KeyboardEvent) => {
    const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
    const row = (event.target as HTMLElement).closest<HTMLElement>('tr[data-index]');
    if (step === undefined || !row || event.target instanceof HTMLSelectElement) return;
    event.preventDefault();
    const next = Number(row.dataset.index) + step;
    if (next < 0) return;
    scrollTo(next);
    requestAnimationFrame(() =>
      scroller.current?.querySelector<HTMLElement>(`tr[data-index="${next}"] button`)?.focus(),
    );
  };
}
