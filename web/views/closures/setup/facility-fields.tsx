import { formatCount, formatLength } from '../../../state/format.ts';
import { FACILITY_KIND_LABELS } from '../../../state/words.ts';
import { Field } from '../../shared/controls.tsx';
import { DataTable } from '../../shared/data-table.tsx';
import { Reasons, reasonOf } from '../../shared/form-fields.tsx';
import type { RulesProps } from './rules-props.ts';

const ZONES: readonly string[] = Intl.supportedValuesOf('timeZone');

/** Which facilities take part, with what is to be resealed on each, and whose clock all times are on. */
export function FacilityFields({ draft, set, problems, defaults, facilities }: RulesProps) {
  const { rules, units } = draft;
  const lengths = new Map(defaults.worksOfYear.map(({ facilityId, lengthM }) => [facilityId, lengthM]));
  const all = rules.facilityIds.length === 0;
  const listed = facilities
    .filter(({ id }) => lengths.has(id) || rules.facilityIds.includes(id))
    .sort((a, b) => (lengths.get(b.id) ?? 0) - (lengths.get(a.id) ?? 0));
  const toggle = (id: string, takesPart: boolean) => {
    const now = all ? listed.map((facility) => facility.id) : rules.facilityIds;
    const next = takesPart ? [...now, id] : now.filter((each) => each !== id);
    // Everything that has work is what an empty list says, and goes on to say when the program changes.
    const everything = [...lengths.keys()].every((each) => next.includes(each)) && next.length === lengths.size;
    set({ facilityIds: everything ? [] : next });
  };
  const said = Object.entries(problems).find(([place]) => /^(facilityIds|scenarioId|year)/.test(place));
  return (
    <>
      {listed.length === 0 ? (
        <p>
          The program has no work in {rules.year}. Make the program of its scenario, or a closure plan for another year.
        </p>
      ) : (
        <DataTable
          caption={`Work of ${rules.year}: ${formatCount(listed.length, 'facility', 'facilities')}`}
          maxHeight="20rem"
          rows={listed}
          rowKey={({ id }) => id}
          columns={[
            {
              key: 'name',
              head: 'Takes part',
              cell: ({ id, name }) => (
                <label className="check">
                  <input
                    type="checkbox"
                    checked={all || rules.facilityIds.includes(id)}
                    // The last one stays: no facility at all would mean every one.
                    disabled={!all && rules.facilityIds.length === 1 && rules.facilityIds[0] === id}
                    onChange={({ target }) => toggle(id, target.checked)}
                  />
                  {name}
                </label>
              ),
            },
            { key: 'kind', head: 'Kind', cell: ({ kind }) => FACILITY_KIND_LABELS[kind] },
            { key: 'district', head: 'District', cell: ({ district }) => district },
            {
              key: 'length',
              head: 'To be resealed',
              numeric: true,
              cell: ({ id }) => (lengths.has(id) ? formatLength(lengths.get(id), units) : 'nothing'),
            },
          ]}
        />
      )}
      {said && <p className="field-error">{said[1]}</p>}
      <Reasons defaults={defaults} fields={['facilityIds', 'year']} />
      <div className="setup-numbers">
        <Field label="Time zone" error={problems.timeZone} hint={reasonOf(defaults, 'timeZone')}>
          {(control) => (
            <>
              <input
                {...control}
                className="input"
                list="time-zones"
                autoComplete="off"
                spellCheck={false}
                value={rules.timeZone}
                onChange={({ target }) => set({ timeZone: target.value })}
              />
              <datalist id="time-zones">
                {ZONES.map((zone) => (
                  <option key={zone} value={zone} />
                ))}
              </datalist>
            </>
          )}
        </Field>
      </div>
    </>
  );
}
