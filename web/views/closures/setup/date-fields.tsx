import { holidayPeaks } from '../../../state/closure-holidays.ts';
import { withoutRowAt } from '../../../state/closure-rules-draft.ts';
import { cellControl, Reasons, RemoveHead, reasonOf, withRow } from '../../shared/form-fields.tsx';
import { CellInput, FacilityOptions, LabelledInput, NumberAt, RemoveButton } from './rule-inputs.tsx';
import type { RulesProps } from './rules-props.ts';

/** Days on which nothing closes, notice, and the first and last day. */
export function DateFields(props: RulesProps) {
  const { draft, set, problems, defaults } = props;
  const { barred, year, earliestOn, latestOn } = draft.rules;
  const missing = holidayPeaks(year).filter(({ name }) => !barred.some((each) => each.name === name));
  return (
    <>
      <div className="setup-numbers">
        <NumberAt {...props} place="noticeDays" label="Notice, days" />
        <LabelledInput
          label="Earliest day"
          type="date"
          value={earliestOn ?? ''}
          problem={problems.earliestOn}
          hint={reasonOf(defaults, 'earliestOn')}
          onChange={(day) => set({ earliestOn: day === '' ? null : day })}
        />
        <LabelledInput
          label="Latest day"
          type="date"
          value={latestOn ?? ''}
          problem={problems.latestOn}
          hint={reasonOf(defaults, 'latestOn')}
          onChange={(day) => set({ latestOn: day === '' ? null : day })}
        />
      </div>
      <h3>Barred days</h3>
      {barred.length === 0 ? <p className="small">No day is barred.</p> : <BarredTable {...props} />}
      {problems.barred && <p className="field-error">{problems.barred}</p>}
      <div className="row">
        <button
          type="button"
          className="button"
          onClick={() =>
            set({ barred: [...barred, { name: '', facilityId: null, from: `${year}-07-01`, to: `${year}-07-01` }] })
          }
        >
          Add barred days
        </button>
        {missing.length > 0 && (
          <button type="button" className="button" onClick={() => set({ barred: [...barred, ...missing] })}>
            Add the holiday peaks of {year}
          </button>
        )}
        <span className="small soft">
          Federal holidays of the United States with the days around them (common practice): look through them.
        </span>
      </div>
      <Reasons defaults={defaults} fields={['barred']} />
    </>
  );
}

function BarredTable({ draft, put, set, problems, facilities }: RulesProps) {
  const { barred } = draft.rules;
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region must take the focus (WCAG 2.1.1)
    <section className="table-scroll" aria-label="Barred days" tabIndex={0}>
      <table className="table setup-table">
        <caption className="unseen">Barred days</caption>
        <thead>
          <tr>
            <th scope="col">Name</th>
            <th scope="col">From</th>
            <th scope="col">To, included</th>
            <th scope="col">Facility</th>
            <RemoveHead />
          </tr>
        </thead>
        <tbody>
          {barred.map((row, index) => {
            const place = `barred.${index}`;
            const what = row.name === '' ? `barred days ${index + 1}` : row.name;
            const change = (part: Partial<typeof row>) => set({ barred: withRow(barred, index, part) });
            const facility = cellControl(`${place}.facilityId`, `Facility, ${what}`, problems);
            return (
              // biome-ignore lint/suspicious/noArrayIndexKey: rows have no key of their own
              <tr key={index}>
                <td>
                  <CellInput
                    place={`${place}.name`}
                    label={`Name of ${what}`}
                    problems={problems}
                    value={row.name}
                    onChange={(name) => change({ name })}
                  />
                </td>
                {(['from', 'to'] as const).map((end) => (
                  <td key={end}>
                    <CellInput
                      place={`${place}.${end}`}
                      label={`${end === 'from' ? 'First' : 'Last'} day of ${what}`}
                      problems={problems}
                      type="date"
                      value={row[end]}
                      onChange={(day) => change({ [end]: day })}
                    />
                  </td>
                ))}
                <td>
                  <select
                    {...facility.control}
                    className="select"
                    value={row.facilityId ?? ''}
                    onChange={({ target }) => change({ facilityId: target.value === '' ? null : target.value })}
                  >
                    <option value="">Every facility</option>
                    <FacilityOptions facilities={facilities} />
                  </select>
                  {facility.error}
                </td>
                <td>
                  <RemoveButton what={what} onClick={() => put(withoutRowAt(draft, 'barred', index))} />
                </td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </section>
  );
}
