import { useState } from 'react';
import { formatNumber } from '../../../state/format.ts';
import type { FieldProblems } from '../../../state/scenario-read.ts';
import { type Column, DataTable } from '../../shared/data-table.tsx';

/** Long lists come from files: so many rows are shown at once, the rest are found by search. */
const SHOWN = 50;

/** Rows that were decided, with a search and a way to take out one or all. */
export function DecidedList<Row>({
  caption,
  place,
  rows,
  rowKey,
  textOf,
  columns,
  problems,
  onChange,
}: {
  caption: string;
  /** Of the list in the form: "committed". */ place: string;
  rows: readonly Row[];
  rowKey: (row: Row) => string;
  /** What a search looks at. */ textOf: (row: Row) => string;
  columns: readonly Column<Row>[];
  problems: FieldProblems;
  onChange: (rows: Row[]) => void;
}) {
  const [wanted, want] = useState('');
  if (rows.length === 0) return null;
  const numbered = rows.map((row, index) => ({ row, problem: problemOf(problems, `${place}.${index}.`) }));
  const found = numbered
    .filter(({ row }) => textOf(row).toLowerCase().includes(wanted.trim().toLowerCase()))
    // What must be mended comes first, wherever it stands in the file.
    .sort((a, b) => Number(b.problem !== null) - Number(a.problem !== null));
  const shown = found.slice(0, SHOWN);
  return (
    <>
      <div className="row">
        {rows.length > SHOWN && (
          <input
            type="search"
            className="input setup-search"
            aria-label={`Search in ${caption.toLowerCase()}`}
            placeholder="Search by key"
            value={wanted}
            onChange={({ target }) => want(target.value)}
          />
        )}
        {found.length > shown.length && (
          <span className="small soft">
            {shown.length} of {formatNumber(found.length)} are shown.
          </span>
        )}
        <button type="button" className="button push" onClick={() => onChange([])}>
          Take out all {formatNumber(rows.length)}
        </button>
      </div>
      <DataTable
        caption={caption}
        captionUnseen
        maxHeight="20rem"
        rows={shown}
        rowKey={({ row }) => rowKey(row)}
        columns={[
          ...columns.map((column, index) => ({
            ...column,
            cell: ({ row, problem }: (typeof shown)[number]) => (
              <>
                {column.cell(row)}
                {index === 0 && problem && <span className="field-error">{problem}</span>}
              </>
            ),
          })),
          {
            key: 'remove',
            head: <span className="unseen">Take out</span>,
            cell: ({ row }) => (
              <button
                type="button"
                className="button quiet"
                aria-label={`Take out ${textOf(row)}`}
                onClick={() => onChange(rows.filter((each) => each !== row))}
              >
                Take out
              </button>
            ),
          },
        ]}
      />
    </>
  );
}

const problemOf = (problems: FieldProblems, start: string): string | null =>
  Object.entries(problems).find(([place]) => place.startsWith(start))?.[1] ?? null;
