import type { ReactNode } from 'react';
import type { FieldProblems } from '../../state/scenario-read.ts';
import { Field } from './controls.tsx';

/** Defaults of a form, each with its reason. */
interface Reasoned {
  readonly reasons: readonly { readonly field: string; readonly sentence: string }[];
}

/** Why the default of a field is what it is. */
export const reasonOf = ({ reasons }: Reasoned, field: string): string | null =>
  reasons
    .filter((reason) => reason.field === field || reason.field.startsWith(`${field}.`))
    .map(({ sentence }) => sentence)
    .join(' ') || null;

/** The reasons of several fields, for a group that has more than one. */
export function Reasons({ defaults, fields }: { defaults: Reasoned; fields: readonly string[] }) {
  const sentences = fields.flatMap((field) => reasonOf(defaults, field) ?? []);
  if (sentences.length === 0) return null;
  return (
    <p className="small soft">
      <strong>Default:</strong> {sentences.join(' ')}
    </p>
  );
}

interface TextProps {
  readonly label: ReactNode;
  readonly value: string;
  readonly problem: string | undefined;
  readonly onChange: (text: string) => void;
  readonly hint?: ReactNode;
  readonly placeholder?: string;
}

/** A number with its label, its unit in the label, what its default rests on and what is wrong with it. */
export const NumberField = ({ label, value, problem, onChange, hint, placeholder }: TextProps) => (
  <Field label={label} hint={hint} error={problem}>
    {(control) => (
      <input
        {...control}
        className="input numeric"
        inputMode="decimal"
        autoComplete="off"
        placeholder={placeholder}
        value={value}
        onChange={({ target }) => onChange(target.value)}
      />
    )}
  </Field>
);

/** A control in a cell of a table: its name is read out, its problem stands below it. */
export function cellControl(place: string, label: string, problems: FieldProblems) {
  const problem = problems[place];
  const id = `problem-${place.replaceAll('.', '-')}`;
  return {
    control: {
      'aria-label': label,
      'aria-invalid': problem ? (true as const) : undefined,
      'aria-describedby': problem ? id : undefined,
    },
    error: problem && (
      <span className="field-error" id={id}>
        {problem}
      </span>
    ),
  };
}

export const CellNumber = ({
  place,
  label,
  problems,
  value,
  onChange,
  placeholder,
}: {
  place: string;
  label: string;
  problems: FieldProblems;
  value: string;
  onChange: (text: string) => void;
  placeholder?: string;
}) => {
  const { control, error } = cellControl(place, label, problems);
  return (
    <>
      <input
        {...control}
        className="input numeric"
        inputMode="decimal"
        autoComplete="off"
        placeholder={placeholder}
        value={value}
        onChange={({ target }) => onChange(target.value)}
      />
      {error}
    </>
  );
};

/** Heads the column of buttons that take a row out. */
export const RemoveHead = () => (
  <th scope="col">
    <span className="unseen">Remove</span>
  </th>
);

/** The list with one row changed. */
export const withRow = <Row,>(rows: readonly Row[], index: number, part: Partial<Row>): Row[] =>
  rows.map((row, place) => (place === index ? { ...row, ...part } : row));

export const withoutRow = <Row,>(rows: readonly Row[], index: number): Row[] =>
  rows.filter((_, place) => place !== index);
