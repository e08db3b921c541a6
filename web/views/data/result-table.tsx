import type { Load } from '../../../server/schemas/load.ts';
import { formatNumber } from '../../state/format.ts';
import { RECORD_KIND_LABELS } from '../../state/words.ts';
import { type Column, DataTable } from '../shared/data-table.tsx';

type FileResult = NonNullable<Load['result']>[number];

const COLUMNS: readonly Column<FileResult>[] = [
  { key: 'file', head: 'File', cell: ({ file }) => file },
  { key: 'kind', head: 'Records', cell: ({ kind }) => RECORD_KIND_LABELS[kind] },
  { key: 'inserted', head: 'Added', numeric: true, cell: ({ inserted }) => formatNumber(inserted) },
  { key: 'updated', head: 'Updated', numeric: true, cell: ({ updated }) => formatNumber(updated) },
  { key: 'unchanged', head: 'Unchanged', numeric: true, cell: ({ unchanged }) => formatNumber(unchanged) },
  { key: 'refused', head: 'Refused', numeric: true, cell: ({ refused }) => formatNumber(refused) },
];

/** What a load did, file by file. */
export const ResultTable = ({ result }: { result: readonly FileResult[] }) => (
  <DataTable
    caption="What the load changed, by file"
    captionUnseen
    rows={result}
    rowKey={({ file, kind }, index) => `${file} ${kind} ${index}`}
    columns={COLUMNS}
  />
);
