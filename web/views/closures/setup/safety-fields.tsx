import { useState } from 'react';
import type { ClosureRules } from '../../../../server/schemas/closure-rules.ts';
import { withoutRowAt } from '../../../state/closure-rules-draft.ts';
import { formatCount } from '../../../state/format.ts';
import { Field } from '../../shared/controls.tsx';
import { Reasons, RemoveHead, withRow } from '../../shared/form-fields.tsx';
import { CellInput, FacilityOptions, RemoveButton } from './rule-inputs.tsx';
import type { RulesProps } from './rules-props.ts';

type SafetyArea = ClosureRules['safetyAreas'][number];

/** Work that may only go on while another facility is closed. */
export function SafetyFields({ draft, put, set, problems, defaults, facilities, nameOf }: RulesProps) {
  const { safetyAreas } = draft.rules;
  return (
    <details className="setup-part" open={safetyAreas.length > 0}>
      <summary>Work in the safety area of a runway, or that cuts another facility off</summary>
      <div className="stack">
        <p className="small soft">
          Work on the first goes on only while the second is closed too. Without segments it holds for all work of the
          facility; with them, for these alone.
        </p>
        {safetyAreas.length > 0 && (
          // biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region must take the focus (WCAG 2.1.1)
          <section className="table-scroll" aria-label="Work that needs another facility closed" tabIndex={0}>
            <table className="table setup-table">
              <caption className="unseen">Work that needs another facility closed</caption>
              <thead>
                <tr>
                  <th scope="col">Work on</th>
                  <th scope="col">needs closed</th>
                  <th scope="col">Segments</th>
                  <th scope="col">Why</th>
                  <RemoveHead />
                </tr>
              </thead>
              <tbody>
                {safetyAreas.map((area, index) => {
                  const place = `safetyAreas.${index}`;
                  const what = `${nameOf(area.facilityId)}, which needs ${nameOf(area.needsClosed)} closed`;
                  const said = Object.entries(problems).filter(
                    ([at]) => at.startsWith(`${place}.`) && at !== `${place}.reason`,
                  );
                  return (
                    <tr key={`${area.facilityId} ${area.needsClosed} ${area.segmentIds.join(' ')}`}>
                      <th scope="row">{nameOf(area.facilityId)}</th>
                      <td>
                        {nameOf(area.needsClosed)}
                        {said.map(([at, words]) => (
                          <span key={at} className="field-error">
                            {words}
                          </span>
                        ))}
                      </td>
                      <td>{segmentWords(area)}</td>
                      <td>
                        <CellInput
                          place={`${place}.reason`}
                          label={`Why work on ${what}`}
                          problems={problems}
                          value={area.reason}
                          onChange={(reason) => set({ safetyAreas: withRow(safetyAreas, index, { reason }) })}
                        />
                      </td>
                      <td>
                        <RemoveButton what={what} onClick={() => put(withoutRowAt(draft, 'safetyAreas', index))} />
                      </td>
                    </tr>
                  );
                })}
              </tbody>
            </table>
          </section>
        )}
        <SafetyEntry facilities={facilities} onAdd={(area) => set({ safetyAreas: [...safetyAreas, area] })} />
        <Reasons defaults={defaults} fields={['safetyAreas']} />
      </div>
    </details>
  );
}

const segmentWords = ({ segmentIds }: SafetyArea): string =>
  segmentIds.length === 0
    ? 'all'
    : segmentIds.length <= 3
      ? segmentIds.join(', ')
      : formatCount(segmentIds.length, 'segment');

function SafetyEntry({ facilities, onAdd }: Pick<RulesProps, 'facilities'> & { onAdd: (area: SafetyArea) => void }) {
  const [facilityId, setFacility] = useState('');
  const [needsClosed, setNeeds] = useState('');
  const [segments, setSegments] = useState('');
  const choice = (label: string, value: string, onChange: (id: string) => void) => (
    <Field label={label}>
      {(control) => (
        <select {...control} className="select" value={value} onChange={({ target }) => onChange(target.value)}>
          <option value="">Choose</option>
          <FacilityOptions facilities={facilities} />
        </select>
      )}
    </Field>
  );
  return (
    <div className="entry">
      {choice('Work on', facilityId, setFacility)}
      {choice('needs closed', needsClosed, setNeeds)}
      <Field label="Segments (empty: all)" hint="Keys, between commas or spaces">
        {(control) => (
          <input
            {...control}
            className="input"
            autoComplete="off"
            value={segments}
            onChange={({ target }) => setSegments(target.value)}
          />
        )}
      </Field>
      <button
        type="button"
        className="button"
        disabled={facilityId === '' || needsClosed === '' || facilityId === needsClosed}
        onClick={() => {
          const segmentIds = [...new Set(segments.split(/[\s,;]+/).filter((id) => id !== ''))];
          onAdd({ facilityId, needsClosed, segmentIds, reason: 'The work lies in its safety area.' });
          setSegments('');
        }}
      >
        Add it
      </button>
    </div>
  );
}
