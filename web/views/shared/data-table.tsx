import type { ReactNode } from 'react';

export interface Column<Row> {
  readonly key: string;
  readonly head: ReactNode;
  readonly cell: (row: Row) => ReactNode;
  /** Figures are set to the right. */ readonly numeric?: boolean;
}

/** A plain table of a few rows. Its first column names the row; the frame scrolls and can be reached by keyboard. */
export function DataTable<Row>({
  caption,
  captionUnseen = false,
  columns,
  rows,
  rowKey,
  foot,
  maxHeight,
}: {
  caption: string;
  captionUnseen?: boolean;
  columns: readonly Column<Row>[];
  rows: readonly Row[];
  rowKey: (row: Row, index: number) => string | number;
  foot?: ReactNode;
  maxHeight?: string;
}) {
  const kind = (column: Column<Row>) => (column.numeric ? 'number' : undefined);
  return (
    // A scrolling region must take the focus, or the keyboard cannot scroll it (WCAG 2.1.1).
    // biome-ignore lint/a11y/noNoninteractiveTabindex: see the line above
    <section className="table-scroll" aria-label={caption} tabIndex={0} style={{ maxHeight }}>
      <table className="table sticky-first">
        <caption className={captionUnseen ? 'unseen' : undefined}>
          <span className="caption-words">{caption}</span>
        </caption>
        <thead>
          <tr>
            {columns.map((column) => (
              <th key={column.key} scope="col" className={kind(column)}>
                {column.head}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((row, index) => (
            <tr key={rowKey(row, index)}>
              {columns.map((column, place) =>
                place === 0 ? (
                  <th key={column.key} scope="row" className={kind(column)}>
                    {column.cell(row)}
                  </th>
                ) : (
                  <td key={column.key} className={kind(column)}>
                    {column.cell(row)}
                  </td>
                ),
              )}
            </tr>
          ))}
        </tbody>
        {foot && <tfoot>{foot}</tfoot>}
      </table>
    </section>
  );
}
