import type { ClipboardEvent } from 'react';
import { type DistrictLimitDraft, NO_LIMIT } from '../../../state/scenario-draft.ts';
import { horizonYears, spreadOverYears } from '../../../state/scenario-years.ts';
import { Switch } from '../../shared/controls.tsx';
import {
  CellNumber,
  cellControl,
  NumberField,
  Reasons,
  RemoveHead,
  withoutRow,
  withRow,
} from '../../shared/form-fields.tsx';
import type { GroupProps } from './group-props.ts';
import { useSetupContext } from './use-setup-context.ts';

/** One number for every year, years that differ, and floors and ceilings of districts. */
export function BudgetFields(props: GroupProps) {
  const { draft, change, problems, defaults } = props;
  const { currency } = useSetupContext();
  return (
    <>
      {draft.question === 'least-budget' && (
        <p className="small">
          With this question the budgets are upper limits of what may be spent; leave them empty to find out what is
          needed.
        </p>
      )}
      <div className="row">
        <span className="small label">Amounts are</span>
        <Switch
          label="Money of the budgets"
          value={draft.moneyOf}
          onChange={(moneyOf) => change({ moneyOf })}
          choices={[
            { value: 'each-year', label: 'money of each year' },
            { value: 'price-year', label: 'constant money of the price year' },
          ]}
        />
      </div>
      <div className="setup-numbers">
        <NumberField
          label={`Every year at most, ${currency}`}
          value={draft.everyYear}
          problem={problems['budgets.everyYear']}
          hint="Empty: no limit"
          onChange={(everyYear) => change({ everyYear })}
        />
      </div>
      <Reasons defaults={defaults} fields={['budgets']} />
      <YearGrid {...props} />
      <DistrictLimits {...props} />
    </>
  );
}

/** A small field for each year; a column pasted from a spreadsheet fills the years from there on. */
function YearGrid({ draft, change, problems }: GroupProps) {
  const { currency, firstYear } = useSetupContext();
  const years = horizonYears(draft, firstYear);
  const beyond = Object.keys(draft.byYear).filter((year) => !years.includes(Number(year)));
  const set = (year: number, text: string) => change({ byYear: { ...draft.byYear, [year]: text } });
  const paste = (year: number) => (event: ClipboardEvent) => {
    const spread = spreadOverYears(event.clipboardData.getData('text'), years, year);
    if (spread === null) return;
    event.preventDefault();
    change({ byYear: { ...draft.byYear, ...spread } });
  };
  return (
    <fieldset className="stack setup-part">
      <legend className="label">Years that differ, {currency}</legend>
      <p className="small soft">
        Empty: as every year. “{NO_LIMIT}”: no limit in that year. A column copied from a spreadsheet can be pasted into
        its first year.
      </p>
      <div className="year-grid">
        {years.map((year) => {
          const { control, error } = cellControl(`budgets.byYear.${year}`, `At most in ${year}`, problems);
          return (
            <label key={year} className="year-cell">
              <span className="figures">{year}</span>
              <input
                {...control}
                className="input numeric"
                inputMode="decimal"
                autoComplete="off"
                placeholder="as above"
                value={draft.byYear[year] ?? ''}
                onPaste={paste(year)}
                onChange={({ target }) => set(year, target.value)}
              />
              {error}
            </label>
          );
        })}
      </div>
      {beyond.length > 0 && (
        <p className="small">
          Outside the horizon, and without effect: {beyond.join(', ')}.{' '}
          <button
            type="button"
            className="button"
            onClick={() =>
              change({
                byYear: Object.fromEntries(Object.entries(draft.byYear).filter(([year]) => !beyond.includes(year))),
              })
            }
          >
            Take out
          </button>
        </p>
      )}
    </fieldset>
  );
}

const NEW_LIMIT: DistrictLimitDraft = { district: '', year: '', atLeast: '', atMost: '' };

function DistrictLimits({ draft, change, problems }: GroupProps) {
  const { currency, districts, firstYear } = useSetupContext();
  const years = horizonYears(draft, firstYear);
  const rows = draft.districts;
  const set = (index: number, part: Partial<DistrictLimitDraft>) => change({ districts: withRow(rows, index, part) });
  return (
    <fieldset className="stack setup-part">
      <legend className="label">Floors and ceilings of districts, {currency}</legend>
      {rows.length > 0 && (
        <div className="table-scroll">
          <table className="table setup-table">
            <caption className="unseen">Floors and ceilings of districts</caption>
            <thead>
              <tr>
                <th scope="col">District</th>
                <th scope="col">Year</th>
                <th scope="col">At least</th>
                <th scope="col">At most</th>
                <RemoveHead />
              </tr>
            </thead>
            <tbody>
              {rows.map((row, index) => {
                const place = `districts.${index}`;
                const name = `limit ${index + 1}`;
                const district = cellControl(`${place}.district`, `District of ${name}`, problems);
                const known = row.district === '' || districts.includes(row.district);
                return (
                  // biome-ignore lint/suspicious/noArrayIndexKey: rows have no name of their own until one is chosen
                  <tr key={index}>
                    <td>
                      <select
                        {...district.control}
                        className="select"
                        value={row.district}
                        onChange={({ target }) => set(index, { district: target.value })}
                      >
                        <option value="">Choose</option>
                        {[...districts, ...(known ? [] : [row.district])].map((each) => (
                          <option key={each}>{each}</option>
                        ))}
                      </select>
                      {district.error}
                    </td>
                    <td>
                      <select
                        aria-label={`Year of ${name}`}
                        className="select"
                        value={row.year}
                        onChange={({ target }) => set(index, { year: target.value })}
                      >
                        <option value="">Every year</option>
                        {years.map((year) => (
                          <option key={year} value={String(year)}>
                            {year}
                          </option>
                        ))}
                      </select>
                    </td>
                    <td>
                      <CellNumber
                        place={`${place}.atLeast`}
                        label={`At least, ${name}`}
                        problems={problems}
                        value={row.atLeast}
                        placeholder="no floor"
                        onChange={(atLeast) => set(index, { atLeast })}
                      />
                    </td>
                    <td>
                      <CellNumber
                        place={`${place}.atMost`}
                        label={`At most, ${name}`}
                        problems={problems}
                        value={row.atMost}
                        placeholder="no ceiling"
                        onChange={(atMost) => set(index, { atMost })}
                      />
                    </td>
                    <td>
                      <button
                        type="button"
                        className="button quiet"
                        aria-label={`Remove ${name}${row.district ? `: ${row.district}` : ''}`}
                        onClick={() => change({ districts: withoutRow(rows, index) })}
                      >
                        Remove
                      </button>
                    </td>
                  </tr>
                );
              })}
            </tbody>
          </table>
        </div>
      )}
      <div className="row">
        <button type="button" className="button" onClick={() => change({ districts: [...rows, NEW_LIMIT] })}>
          Add a district’s limit
        </button>
      </div>
    </fieldset>
  );
}
