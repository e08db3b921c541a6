import { type ReactNode, useState } from 'react';
import type { Facility } from '../../../../server/schemas/facility.ts';
import type { ScenarioInputs } from '../../../../server/schemas/scenario.ts';
import { readCommitted, readHeldBack, USUAL_YEARS_BEFORE } from '../../../state/pasted-rows.ts';
import { SEALANT_CLASS_LABELS } from '../../../state/words.ts';
import { Field } from '../../shared/controls.tsx';

/** One committed segment, typed. Checked by the rules of the pasted ones. */
export function CommittedEntry({ onAdd }: { onAdd: (row: ScenarioInputs['committed'][number]) => void }) {
  const [segmentId, setSegmentId] = useState('');
  const [year, setYear] = useState('');
  const [sealantClass, setClass] = useState('');
  const {
    rows: [row],
    problems: [problem],
  } = readCommitted([[segmentId, year, sealantClass]]);
  return (
    <Entry
      what="Commit it"
      ready={row !== undefined}
      problem={problem?.message}
      touched={segmentId !== '' || year !== ''}
      onAdd={() => {
        if (!row) return;
        onAdd(row);
        setSegmentId('');
      }}
    >
      <TextEntry label="Segment" value={segmentId} onChange={setSegmentId} />
      <TextEntry label="Year" value={year} onChange={setYear} short />
      <Field label="Sealant class">
        {(control) => (
          <select
            {...control}
            className="select"
            value={sealantClass}
            onChange={({ target }) => setClass(target.value)}
          >
            <option value="">Best of those allowed</option>
            {Object.entries(SEALANT_CLASS_LABELS).map(([word, label]) => (
              <option key={word} value={word}>
                {label}
              </option>
            ))}
          </select>
        )}
      </Field>
    </Entry>
  );
}

/** A facility or a segment whose pavement is to be replaced. */
export function HeldBackEntry({
  facilities,
  onAdd,
}: {
  facilities: readonly Facility[];
  onAdd: (row: ScenarioInputs['heldBack'][number]) => void;
}) {
  const [facilityId, setFacility] = useState('');
  const [segmentId, setSegmentId] = useState('');
  const [year, setYear] = useState('');
  const [before, setBefore] = useState(String(USUAL_YEARS_BEFORE));
  const cells = [
    ['segmentId', 'facilityId', 'pavementYear', 'yearsBefore'],
    [facilityId === '' ? segmentId : '', facilityId, year, before],
  ];
  const {
    rows: [row],
    problems: [problem],
  } = readHeldBack(cells, new Set());
  return (
    <Entry
      what="Hold it back"
      ready={row !== undefined}
      problem={problem?.message}
      touched={facilityId !== '' || segmentId !== '' || year !== ''}
      onAdd={() => {
        if (!row) return;
        onAdd(row);
        setSegmentId('');
        setFacility('');
      }}
    >
      <Field label="Facility">
        {(control) => (
          <select
            {...control}
            className="select"
            value={facilityId}
            onChange={({ target }) => setFacility(target.value)}
          >
            <option value="">One segment only</option>
            {facilities.map(({ id, name }) => (
              <option key={id} value={id}>
                {name}
              </option>
            ))}
          </select>
        )}
      </Field>
      {facilityId === '' && <TextEntry label="Segment" value={segmentId} onChange={setSegmentId} />}
      <TextEntry label="New pavement in" value={year} onChange={setYear} short />
      <TextEntry label="Years before" value={before} onChange={setBefore} short />
    </Entry>
  );
}

function Entry({
  what,
  ready,
  problem,
  touched,
  onAdd,
  children,
}: {
  what: string;
  ready: boolean;
  problem: string | undefined;
  touched: boolean;
  onAdd: () => void;
  children: ReactNode;
}) {
  return (
    <div className="entry">
      {children}
      <button type="button" className="button" disabled={!ready} onClick={onAdd}>
        {what}
      </button>
      {touched && problem && <p className="small soft entry-problem">{problem}</p>}
    </div>
  );
}

const TextEntry = ({
  label,
  value,
  onChange,
  short = false,
}: {
  label: string;
  value: string;
  onChange: (text: string) => void;
  short?: boolean;
}) => (
  <Field label={label}>
    {(control) => (
      <input
        {...control}
        className={`input${short ? ' short' : ''}`}
        autoComplete="off"
        inputMode={short ? 'numeric' : 'text'}
        value={value}
        onChange={({ target }) => onChange(target.value)}
      />
    )}
  </Field>
);
