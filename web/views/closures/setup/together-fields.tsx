import { lazy, Suspense, useRef, useState } from 'react';
import type { ClosureRules } from '../../../../server/schemas/closure-rules.ts';
import { withoutRowAt } from '../../../state/closure-rules-draft.ts';
import { Field } from '../../shared/controls.tsx';
import { Reasons, withRow } from '../../shared/form-fields.tsx';
import { Loading } from '../../shared/states.tsx';
import { useNear } from '../../shared/use-near.ts';
import { PairKey } from './pair-key.tsx';
import { CellInput, FacilityOptions, RemoveButton } from './rule-inputs.tsx';
import type { RulesProps } from './rules-props.ts';
import { SafetyFields } from './safety-fields.tsx';

/** The map library is fetched when the map is near. */
const PairMap = lazy(async () => ({ default: (await import('./pair-map.tsx')).PairMap }));

type Exclusion = ClosureRules['exclusions'][number];
export const samePair = ({ facilityIds: [a, b] }: Exclusion, x: string, y: string): boolean =>
  (a === x && b === y) || (a === y && b === x);

/** Facilities that are never closed together: a graph on the map, and the same pairs as a table. */
export function TogetherFields(props: RulesProps) {
  const { draft, set, defaults, nameOf, problems } = props;
  const { exclusions } = draft.rules;
  const [first, setFirst] = useState<string | null>(null);
  const [told, tell] = useState('');
  const place = useRef<HTMLDivElement>(null);
  const near = useNear(place);
  const add = (a: string, b: string, reason: string) => {
    setFirst(null);
    if (exclusions.some((pair) => samePair(pair, a, b)))
      return tell(`${nameOf(a)} and ${nameOf(b)} are a pair already.`);
    set({ exclusions: [...exclusions, { facilityIds: [a, b], reason }] });
    tell(`${nameOf(a)} and ${nameOf(b)} are never closed together now.`);
  };
  const choose = (id: string | null) => {
    if (id === null || id === first) {
      setFirst(null);
      return tell('');
    }
    if (first === null) {
      setFirst(id);
      return tell(`${nameOf(id)} is chosen. Press the facility that must stay open while it is closed.`);
    }
    add(first, id, USUAL_REASON);
  };
  return (
    <>
      <p className="small soft">
        While one of a pair is closed, the other stays open: two runways, a taxiway that cuts a runway off, the two
        directions of a highway. Press two facilities on the map to join them, or use the form beside it.
      </p>
      <div className="pair-parts">
        <div className="stack setup-part">
          <div className="map-stage pair-map" ref={place}>
            {near && (
              <Suspense fallback={<Loading what="the map" />}>
                <PairMap {...props} chosenId={first} onChoose={choose} />
              </Suspense>
            )}
          </div>
          <PairKey />
        </div>
        <div className="stack">
          <PairTable {...props} />
          <PairEntry {...props} onAdd={add} />
          {problems.exclusions && <p className="field-error">{problems.exclusions}</p>}
        </div>
      </div>
      <p className="small" role="status">
        {told}
      </p>
      <Reasons defaults={defaults} fields={['exclusions']} />
      <SafetyFields {...props} />
    </>
  );
}

const USUAL_REASON = 'One of the two stays open.';

function PairTable({ draft, put, set, problems, nameOf }: RulesProps) {
  const { exclusions } = draft.rules;
  if (exclusions.length === 0) return <p>No pairs: any facilities may be closed at the same time.</p>;
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region must take the focus (WCAG 2.1.1)
    <section className="table-scroll pair-table" aria-label="Pairs never closed together" tabIndex={0}>
      <table className="table setup-table">
        <caption className="unseen">Pairs never closed together</caption>
        <thead>
          <tr>
            <th scope="col">Never together</th>
            <th scope="col">Why</th>
          </tr>
        </thead>
        <tbody>
          {exclusions.map(({ facilityIds: [a, b], reason }, index) => {
            const pair = `${nameOf(a)} and ${nameOf(b)}`;
            const said = Object.entries(problems).find(([at]) => at.startsWith(`exclusions.${index}.facilityIds`));
            return (
              <tr key={`${a} ${b}`}>
                <th scope="row">
                  {nameOf(a)}
                  <br />
                  {nameOf(b)}
                  {said && <span className="field-error">{said[1]}</span>}
                </th>
                <td>
                  <CellInput
                    place={`exclusions.${index}.reason`}
                    label={`Why ${pair} are never closed together`}
                    problems={problems}
                    value={reason}
                    onChange={(text) => set({ exclusions: withRow(exclusions, index, { reason: text }) })}
                  />
                  <RemoveButton
                    what={`the pair ${pair}`}
                    onClick={() => put(withoutRowAt(draft, 'exclusions', index))}
                  />
                </td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </section>
  );
}

function PairEntry({
  facilities,
  inPlan,
  onAdd,
}: RulesProps & { onAdd: (a: string, b: string, reason: string) => void }) {
  const [a, setA] = useState('');
  const [b, setB] = useState('');
  const ready = a !== '' && b !== '' && a !== b;
  const select = (label: string, value: string, onChange: (id: string) => void) => (
    <Field label={label}>
      {(control) => (
        <select {...control} className="select" value={value} onChange={({ target }) => onChange(target.value)}>
          <option value="">Choose</option>
          <optgroup label="In this plan">
            <FacilityOptions facilities={inPlan} />
          </optgroup>
          <optgroup label="Others">
            <FacilityOptions facilities={facilities.filter(({ id }) => !inPlan.some((each) => each.id === id))} />
          </optgroup>
        </select>
      )}
    </Field>
  );
  return (
    <div className="entry">
      {select('While this is closed', a, setA)}
      {select('this stays open', b, setB)}
      <button
        type="button"
        className="button"
        disabled={!ready}
        onClick={() => {
          onAdd(a, b, USUAL_REASON);
          setA('');
          setB('');
        }}
      >
        Add the pair
      </button>
      {a !== '' && a === b && <p className="small soft entry-problem">Choose two different facilities.</p>}
    </div>
  );
}
