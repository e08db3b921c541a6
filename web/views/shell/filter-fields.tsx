import { useQuery } from '@tanstack/react-query';
import { type ReactNode, useEffect, useId, useState } from 'react';
import type { Filter } from '../../../server/schemas/filter.ts';
import { type BoundField, type ListField, readList, toggleInList, withField } from '../../state/filter.ts';
import { formatNumber } from '../../state/format.ts';
import { FACILITY_KIND_LABELS, JOINT_TYPE_LABELS, labelOf, SEALANT_CLASS_LABELS } from '../../state/words.ts';
import { facilitiesQuery, summaryQuery } from '../shared/queries.ts';

interface PartProps {
  readonly filter: Filter;
  readonly setFilter: (filter: Filter) => void;
}
interface FilterPart {
  readonly key: string;
  readonly label: string;
  readonly fields: (props: PartProps) => ReactNode;
  /** How much of this part is in use. */ readonly tally: (filter: Filter) => number;
}

type Facet = 'district' | 'facilityKind' | 'jointType' | 'sealantClass';

const listPart = (field: Facet, label: string, labels: Readonly<Record<string, string>>): FilterPart => ({
  key: field,
  label,
  fields: (props) => <FacetList field={field} labels={labels} {...props} />,
  tally: (filter) => readList(filter, field).length,
});
const boundsPart = (label: string, min: BoundField, max: BoundField, rest: BoundsWords): FilterPart => ({
  key: min,
  label,
  fields: (props) => <Bounds min={min} max={max} {...rest} {...props} />,
  tally: (filter) => (filter[min] !== undefined || filter[max] !== undefined ? 1 : 0),
});

/** The parts of the filter, in the order of the bar and of the narrow screen's sheet. */
const FILTER_PARTS: readonly FilterPart[] = [
  listPart('district', 'District', {}),
  listPart('facilityKind', 'Kind', FACILITY_KIND_LABELS),
  {
    key: 'facility',
    label: 'Facility',
    fields: (props) => <FacilityList {...props} />,
    tally: (filter) => readList(filter, 'facility').length,
  },
  listPart('jointType', 'Joint type', JOINT_TYPE_LABELS),
  listPart('sealantClass', 'Sealant', SEALANT_CLASS_LABELS),
  boundsPart('Age', 'minAgeYears', 'maxAgeYears', { what: 'Age of the seal', unit: 'years', step: 1 }),
  boundsPart('Damage', 'minDamagedShare', 'maxDamagedShare', {
    what: 'Damaged share of length when last seen',
    unit: '%',
    step: 1,
    perUnit: 0.01,
  }),
  boundsPart('Resealing due', 'minDueYear', 'maxDueYear', { what: 'Forecast year of resealing', unit: '', step: 1 }),
];

/** Segments that a link has picked out: a part of the bar only while there are any. */
const CHOSEN_SEGMENTS: FilterPart = {
  key: 'segmentIds',
  label: 'Picked segments',
  fields: (props) => <PickedSegments {...props} />,
  tally: (filter) => readList(filter, 'segmentIds').length,
};

export const filterPartsFor = (filter: Filter): readonly FilterPart[] =>
  CHOSEN_SEGMENTS.tally(filter) > 0 ? [...FILTER_PARTS, CHOSEN_SEGMENTS] : FILTER_PARTS;

function PickedSegments({ filter, setFilter }: PartProps) {
  const picked = readList(filter, 'segmentIds');
  return (
    <>
      {picked.map((id) => (
        <CheckRow key={id} label={id} checked onToggle={() => setFilter(toggleInList(filter, 'segmentIds', id))} />
      ))}
    </>
  );
}

function FacetList({ field, labels, filter, setFilter }: PartProps & { field: Facet; labels: Record<string, string> }) {
  // The choices are those of the network without this part of the filter: otherwise the first choice hides the others.
  const { data } = useQuery(summaryQuery(withField(filter, field, undefined)));
  const chosen = readList(filter, field);
  const facet = data?.facets[field] ?? [];
  const gone = chosen.filter((value) => !facet.some((entry) => entry.value === value));
  const rows = [...facet, ...gone.map((value) => ({ value, count: 0 }))];
  return (
    <>
      {rows.map(({ value, count }) => (
        <CheckRow
          key={value}
          label={labelOf(labels, value)}
          count={count}
          checked={chosen.includes(value)}
          onToggle={() => setFilter(toggleInList(filter, field, value))}
        />
      ))}
      {rows.length === 0 && <p className="soft">{data ? 'Nothing to choose from.' : 'Reading…'}</p>}
    </>
  );
}

function FacilityList({ filter, setFilter }: PartProps) {
  const { data } = useQuery(facilitiesQuery);
  const [part, setPart] = useState('');
  const field: ListField = 'facility';
  const chosen = readList(filter, field);
  const districts = readList(filter, 'district');
  const kinds = readList(filter, 'facilityKind');
  const id = useId();
  const wanted = part.trim().toLowerCase();
  const rows = (data ?? []).filter(
    ({ id: key, name, district, kind }) =>
      chosen.includes(key) ||
      ((districts.length === 0 || districts.includes(district)) &&
        (kinds.length === 0 || kinds.includes(kind)) &&
        `${key} ${name}`.toLowerCase().includes(wanted)),
  );
  const shown = rows.slice(0, 100);
  return (
    <div className="stack" style={{ gap: 'var(--space-2)' }}>
      <label className="unseen" htmlFor={id}>
        Part of a facility's name
      </label>
      <input
        id={id}
        className="input"
        placeholder="Part of a name"
        value={part}
        onChange={(event) => setPart(event.target.value)}
      />
      <div>
        {shown.map(({ id: key, name }) => (
          <CheckRow
            key={key}
            label={name}
            checked={chosen.includes(key)}
            onToggle={() => setFilter(toggleInList(filter, field, key))}
          />
        ))}
      </div>
      {rows.length > shown.length && (
        <p className="soft">{formatNumber(rows.length - shown.length)} more: type a part of the name.</p>
      )}
      {data && rows.length === 0 && <p className="soft">No facility of that name here.</p>}
    </div>
  );
}

interface CheckRowProps {
  readonly label: string;
  readonly count?: number;
  readonly checked: boolean;
  readonly onToggle: () => void;
}
function CheckRow({ label, count, checked, onToggle }: CheckRowProps) {
  return (
    <label className="check">
      <input type="checkbox" checked={checked} onChange={onToggle} />
      {label}
      {count !== undefined && (
        <span className="count">
          {formatNumber(count)}
          <span className="unseen"> segments</span>
        </span>
      )}
    </label>
  );
}

interface BoundsWords {
  readonly what: string;
  readonly unit: string;
  readonly step: number;
  /** Stored value of one shown unit; 1 when left out. */ readonly perUnit?: number;
}
function Bounds({
  min,
  max,
  what,
  unit,
  step,
  perUnit = 1,
  filter,
  setFilter,
}: PartProps & BoundsWords & { min: BoundField; max: BoundField }) {
  const input = (field: BoundField, label: string) => (
    <NumberInput
      label={label}
      step={step}
      value={filter[field] === undefined ? null : Number((filter[field] / perUnit).toFixed(6))}
      onCommit={(value) =>
        setFilter(withField(filter, field, value === null ? undefined : Number((value * perUnit).toFixed(6))))
      }
    />
  );
  return (
    <div className="stack" style={{ gap: 'var(--space-2)' }}>
      <p className="soft">
        {what}
        {unit === '' ? '' : `, ${unit}`}; both ends included
      </p>
      <div className="bounds">
        {input(min, 'From')}
        <span aria-hidden="true">–</span>
        {input(max, 'To')}
      </div>
    </div>
  );
}

interface NumberInputProps {
  readonly label: string;
  readonly step: number;
  readonly value: number | null;
  readonly onCommit: (value: number | null) => void;
}
/** Takes effect on leaving the field or on Enter, so that half a number is never asked for. */
function NumberInput({ label, step, value, onCommit }: NumberInputProps) {
  const [text, setText] = useState(value === null ? '' : String(value));
  const id = useId();
  useEffect(() => setText(value === null ? '' : String(value)), [value]);
  const commit = () => {
    const typed = text.trim() === '' ? null : Number(text);
    if (typed === value) return;
    if (typed === null || (Number.isFinite(typed) && typed >= 0)) onCommit(typed);
    else setText(value === null ? '' : String(value));
  };
  return (
    <div className="field">
      <label htmlFor={id}>{label}</label>
      <input
        id={id}
        className="input numeric"
        type="number"
        min={0}
        step={step}
        value={text}
        placeholder="any"
        onChange={(event) => setText(event.target.value)}
        onBlur={commit}
        onKeyDown={(event) => event.key === 'Enter' && commit()}
      />
    </div>
  );
}

/** Waits until the typing pauses before it asks. */
export function SearchField({ filter, setFilter }: PartProps) {
  const [text, setText] = useState(filter.search ?? '');
  const id = useId();
  useEffect(() => setText(filter.search ?? ''), [filter.search]);
  useEffect(() => {
    const wanted = text.trim() === '' ? undefined : text.trim();
    if (wanted === filter.search) return;
    const timer = setTimeout(() => setFilter(withField(filter, 'search', wanted)), 350);
    return () => clearTimeout(timer);
  }, [text, filter, setFilter]);
  return (
    <div className="search">
      <label className="unseen" htmlFor={id}>
        Search by segment or facility
      </label>
      <input
        id={id}
        className="input"
        type="search"
        maxLength={100}
        placeholder="Segment or facility"
        value={text}
        onChange={(event) => setText(event.target.value)}
      />
    </div>
  );
}
