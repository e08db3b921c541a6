import type { FileChoice, FilePreview, Unit } from '../../../server/schemas/load.ts';
import { chooseField, chooseUnit, fieldChosen } from '../../state/file-choices.ts';
import { fieldsOf, unitLabel } from '../../state/file-fields.ts';
import { DataTable } from '../shared/data-table.tsx';

type FileColumn = FilePreview['columns'][number];
interface Props {
  file: FilePreview;
  choices: readonly FileChoice[];
  onChange: (choices: FileChoice[]) => void;
}

/** Each column of the file, what it is read as and in which unit. Both can be changed. */
export function ColumnTable({ file, choices, onChange }: Props) {
  const choice = choices.find(({ uploadId }) => uploadId === file.uploadId);
  return (
    <DataTable
      caption={`Columns of ${file.file}`}
      captionUnseen
      rows={file.columns}
      rowKey={({ column }) => column}
      columns={[
        { key: 'column', head: 'Column of the file', cell: (column) => <ColumnName {...column} /> },
        {
          key: 'field',
          head: 'Read as',
          cell: (column) => (
            <FieldSelect {...{ file, choices, onChange, column }} chosen={fieldChosen(choice, column)} />
          ),
        },
        {
          key: 'unit',
          head: 'Unit in the file',
          cell: (column) => <UnitSelect {...{ file, choices, onChange, column }} choice={choice} />,
        },
      ]}
    />
  );
}

const ColumnName = ({ column, example }: FileColumn) => (
  <>
    <code>{column}</code>
    {example !== null && <span className="example">e.g. {example}</span>}
  </>
);

function FieldSelect({ file, choices, onChange, column, chosen }: Props & { column: FileColumn; chosen: string }) {
  const fields = fieldsOf(file.kind);
  const others = [...file.missingColumns, ...file.columns.flatMap(({ field }) => field ?? [])].filter(
    (name, index, all) => all.indexOf(name) === index && !fields.some(({ field }) => field === name),
  );
  return (
    <select
      className="select"
      aria-label={`Column ${column.column} is read as`}
      value={chosen}
      onChange={({ target }) => onChange(chooseField(choices, file, { column: column.column, field: target.value }))}
    >
      <option value="">Left out</option>
      {fields.map(({ field, label, required }) => (
        <option key={field} value={field}>
          {label}
          {required ? ' (needed)' : ''}
        </option>
      ))}
      {others.map((field) => (
        <option key={field} value={field}>
          {field}
        </option>
      ))}
    </select>
  );
}

function UnitSelect({
  file,
  choices,
  onChange,
  column,
  choice,
}: Props & { column: FileColumn; choice: FileChoice | undefined }) {
  const field = fieldChosen(choice, column);
  if (field === '' || field !== column.field || column.unitChoices.length === 0) return <span className="soft">–</span>;
  const said = choice?.units?.[field];
  const unit = said ?? column.unit ?? '';
  return (
    <span className="unit-choice">
      <select
        className="select"
        aria-label={`Unit of ${column.column}`}
        value={unit}
        onChange={({ target }) => onChange(chooseUnit(choices, file.uploadId, { field, unit: target.value as Unit }))}
      >
        {unit === '' && <option value="">Choose…</option>}
        {column.unitChoices.map((word) => (
          <option key={word} value={word}>
            {unitLabel(word, field)}
          </option>
        ))}
      </select>
      {column.unitGuessed && !said && <span className="badge chalk">guessed</span>}
    </span>
  );
}
