import { type ReactNode, useState } from 'react';
import type { Facility } from '../../../../server/schemas/facility.ts';
import { textAt, withText } from '../../../state/closure-rules-draft.ts';
import { Field } from '../../shared/controls.tsx';
import { CellNumber, cellControl, NumberField, reasonOf } from '../../shared/form-fields.tsx';
import type { RulesProps } from './rules-props.ts';

type Typed = Pick<RulesProps, 'draft' | 'put' | 'problems'> & { place: string };

/** A number of the rules, with the reason of its default below it. */
export function NumberAt({
  draft,
  put,
  problems,
  place,
  defaults,
  label,
  hint,
  placeholder,
}: Typed & { defaults?: RulesProps['defaults']; label: ReactNode; hint?: ReactNode; placeholder?: string }) {
  return (
    <NumberField
      label={label}
      value={textAt(draft, place)}
      problem={problems[place]}
      placeholder={placeholder}
      hint={hint ?? (defaults && reasonOf(defaults, place))}
      onChange={(text) => put(withText(draft, place, text))}
    />
  );
}

export const CellNumberAt = ({ draft, put, problems, place, label }: Typed & { label: string }) => (
  <CellNumber
    place={place}
    label={label}
    problems={problems}
    value={textAt(draft, place)}
    onChange={(text) => put(withText(draft, place, text))}
  />
);

type Said = Pick<RulesProps, 'problems'> & { place: string; label: string };

/** A text, day or clock time in a cell of a table. */
export function CellInput({
  place,
  label,
  problems,
  type = 'text',
  value,
  onChange,
}: Said & { type?: 'text' | 'date' | 'time'; value: string; onChange: (text: string) => void }) {
  const { control, error } = cellControl(place, label, problems);
  return (
    <>
      <input
        {...control}
        className="input"
        type={type}
        autoComplete="off"
        value={value}
        onChange={({ target }) => onChange(target.value)}
      />
      {error}
    </>
  );
}

export function LabelledInput({
  label,
  problem,
  hint,
  type,
  value,
  onChange,
}: {
  label: string;
  problem?: string;
  hint?: ReactNode;
  type: 'text' | 'date' | 'time';
  value: string;
  onChange: (text: string) => void;
}) {
  return (
    <Field label={label} error={problem} hint={hint}>
      {(control) => (
        <input
          {...control}
          className="input"
          type={type}
          autoComplete="off"
          value={value}
          onChange={({ target }) => onChange(target.value)}
        />
      )}
    </Field>
  );
}

export const FacilityOptions = ({ facilities }: { facilities: readonly Facility[] }) =>
  facilities.map(({ id, name }) => (
    <option key={id} value={id}>
      {name}
    </option>
  ));

/** Some of the facilities: chosen one by one, each with a way to take it out again. */
export function FacilityPicker({
  label,
  chosen,
  facilities,
  nameOf,
  onChange,
}: {
  label: string;
  chosen: readonly string[];
  facilities: readonly Facility[];
  nameOf: (id: string) => string;
  onChange: (ids: string[]) => void;
}) {
  const [wanted, want] = useState('');
  const left = facilities.filter(({ id }) => !chosen.includes(id));
  return (
    <div className="stack setup-part">
      {chosen.length > 0 && (
        <ul className="picked" aria-label={`Chosen: ${label}`}>
          {chosen.map((id) => (
            <li key={id}>
              {nameOf(id)}
              <button
                type="button"
                className="button quiet"
                aria-label={`Take out ${nameOf(id)}`}
                onClick={() => onChange(chosen.filter((each) => each !== id))}
              >
                Take out
              </button>
            </li>
          ))}
        </ul>
      )}
      <div className="entry">
        <Field label={label}>
          {(control) => (
            <select {...control} className="select" value={wanted} onChange={({ target }) => want(target.value)}>
              <option value="">Choose</option>
              <FacilityOptions facilities={left} />
            </select>
          )}
        </Field>
        <button
          type="button"
          className="button"
          disabled={wanted === ''}
          onClick={() => {
            onChange([...chosen, wanted]);
            want('');
          }}
        >
          Add it
        </button>
      </div>
    </div>
  );
}

export const RemoveButton = ({
  what,
  onClick,
  words = 'Remove',
}: {
  what: string;
  onClick: () => void;
  words?: string;
}) => (
  <button type="button" className="button quiet" aria-label={`${words} ${what}`} onClick={onClick}>
    {words}
  </button>
);

/** A few words of a list, each to be ticked; the order of the list is kept. */
export function Ticks<W extends string>({
  legend,
  labels,
  value,
  problem,
  onChange,
}: {
  legend: string;
  labels: Readonly<Record<W, string>>;
  value: readonly W[];
  problem?: string;
  onChange: (words: W[]) => void;
}) {
  const words = Object.keys(labels) as W[];
  return (
    <fieldset className="ticks">
      <legend className="label">{legend}</legend>
      {words.map((word) => (
        <label key={word} className="check">
          <input
            type="checkbox"
            checked={value.includes(word)}
            onChange={({ target }) =>
              onChange(words.filter((each) => (each === word ? target.checked : value.includes(each))))
            }
          />
          {labels[word]}
        </label>
      ))}
      {problem && <span className="field-error">{problem}</span>}
    </fieldset>
  );
}

/** What a default rests on: its mark, then its source. */
export const RestsOn = ({ mark, source }: { readonly mark: string; readonly source: string }) => (
  <span className="rate-source">
    <span className="badge">{mark}</span>{' '}
    <span className="small soft">{source.startsWith(`${mark}, `) ? source.slice(mark.length + 2) : source}</span>
  </span>
);
