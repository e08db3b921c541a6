import { FAINT, INK, printable, type ReportPages, RULE } from './report-pages.ts';

export interface ReportColumn<Row> {
  readonly title: string;
  /** Share of the table's width; all are scaled to fill it. */ readonly share: number;
  readonly align?: 'left' | 'right';
  readonly of: (row: Row) => string;
}

export interface TableLook<Row> {
  /** Rows in bold, such as totals. */ readonly strong?: (row: Row) => boolean;
  readonly size?: number;
}

const PAD = 3;

/** A table that goes on over pages, its head on each of them. Cells are one line; the head may be several. */
export function drawTable<Row>(
  pages: ReportPages,
  columns: readonly ReportColumn<Row>[],
  rows: readonly Row[],
  { strong = () => false, size = 8.5 }: TableLook<Row> = {},
): void {
  const { doc } = pages;
  const all = columns.reduce((sum, { share }) => sum + share, 0);
  const widths = columns.map(({ share }) => (share / all) * pages.width);
  const height = size + 2 * PAD;
  const cell = (text: string, at: number, y: number, options: PDFKit.Mixins.TextOptions) => {
    const x = pages.left + widths.slice(0, at).reduce((sum, width) => sum + width, 0);
    doc.text(printable(text), x + PAD, y, {
      width: widths[at] - 2 * PAD,
      align: columns[at].align ?? 'left',
      ...options,
    });
  };
  const head = () => {
    doc.font('Helvetica-Bold').fontSize(size);
    const heights = columns.map(({ title }, at) =>
      doc.heightOfString(printable(title), { width: widths[at] - 2 * PAD }),
    );
    const headHeight = Math.max(...heights);
    pages.need(headHeight + 3 * height);
    doc.fillColor(FAINT);
    for (const [at, { title }] of columns.entries()) cell(title, at, pages.y + headHeight - heights[at], {});
    pages.y += headHeight + 2;
    rule(pages, 0.8);
  };
  head();
  for (const row of rows) {
    if (pages.room < height) {
      pages.newPage();
      head();
    }
    doc
      .font(strong(row) ? 'Helvetica-Bold' : 'Helvetica')
      .fontSize(size)
      .fillColor(INK);
    for (const [at, { of }] of columns.entries())
      cell(of(row), at, pages.y + PAD, { height: size + 1, ellipsis: true });
    pages.y += height;
    rule(pages, 0.3);
  }
  pages.space(8);
}

function rule({ doc, left, width, y }: ReportPages, weight: number): void {
  doc
    .moveTo(left, y)
    .lineTo(left + width, y)
    .lineWidth(weight)
    .strokeColor(RULE)
    .stroke();
}
