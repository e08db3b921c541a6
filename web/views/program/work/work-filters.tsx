import { useQuery } from '@tanstack/react-query';
import type { Program } from '../../../../server/schemas/program.ts';
import { WHY_LABELS } from '../../../state/program-words.ts';
import { SEALANT_CLASS_LABELS } from '../../../state/words.ts';
import {
  countWorkFilters,
  encodedWord,
  WORK_REASONS,
  type WorkFilterField,
  type WorkQuery,
  withoutWorkFilter,
  withWorkField,
} from '../../../state/work-query.ts';
import { Field } from '../../shared/controls.tsx';
import { facilitiesQuery } from '../../shared/queries.ts';
import { useAddress } from '../../shared/url.tsx';

interface Props {
  readonly program: Program;
  readonly query: WorkQuery;
  readonly onChange: (params: URLSearchParams) => void;
}
type Choices = readonly (readonly [value: string, label: string])[];

/** What of the work is listed, beside the year. */
export function WorkFilters({ program, query, onChange }: Props) {
  const { params } = useAddress();
  const { data: facilities } = useQuery(facilitiesQuery);
  const districts = [...new Set(program.rows.map(({ district }) => district))].sort();
  const classes = [...new Set(program.rows.map(({ sealantClass }) => sealantClass))].sort();
  const inDistrict = (facilities ?? []).filter(({ district }) => !query.district || district === query.district);
  const set = (field: WorkFilterField) => (text: string) => onChange(withWorkField(params, field, text));
  const active = countWorkFilters(query);
  return (
    <div className="row work-filters">
      <Choice
        label="District"
        value={query.district}
        all="All districts"
        choices={districts.map((name) => [encodedWord(name), name])}
        onChange={set('district')}
      />
      <Choice
        label="Facility"
        value={query.facility}
        all="All facilities"
        choices={inDistrict.map(({ id, name }) => [encodedWord(id), name])}
        onChange={set('facility')}
      />
      <Choice
        label="Reseal with"
        value={query.sealantClass}
        all="All classes"
        choices={classes.map((word) => [word, SEALANT_CLASS_LABELS[word]])}
        onChange={set('sealantClass')}
      />
      <Choice
        label="Why"
        value={query.why}
        all="All reasons"
        choices={WORK_REASONS.map((word) => [word, WHY_LABELS[word]])}
        onChange={set('why')}
      />
      {active > 0 && (
        <button type="button" className="button quiet" onClick={() => onChange(withoutWorkFilter(params))}>
          Clear {active === 1 ? 'filter' : `${active} filters`}
        </button>
      )}
    </div>
  );
}

function Choice({
  label,
  value,
  all,
  choices,
  onChange,
}: {
  label: string;
  value: string | undefined;
  all: string;
  choices: Choices;
  onChange: (text: string) => void;
}) {
  const listed = value === undefined || choices.some(([word]) => word === value);
  return (
    <Field label={label}>
      {(control) => (
        <select {...control} className="select" value={value ?? ''} onChange={({ target }) => onChange(target.value)}>
          <option value="">{all}</option>
          {!listed && <option value={value}>{value?.includes(',') ? 'several chosen' : value}</option>}
          {choices.map(([word, words]) => (
            <option key={word} value={word}>
              {words}
            </option>
          ))}
        </select>
      )}
    </Field>
  );
}
