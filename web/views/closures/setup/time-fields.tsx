import { kindAt, ownNumber, withOwnNumber } from '../../../state/closure-rules-draft.ts';
import { labelOf, SEALANT_CLASS_LABELS } from '../../../state/words.ts';
import { ChoiceCards } from '../../shared/choice-cards.tsx';
import { DataTable } from '../../shared/data-table.tsx';
import { CellNumber, Reasons } from '../../shared/form-fields.tsx';
import { NumberAt, RestsOn } from './rule-inputs.tsx';
import type { RulesProps } from './rules-props.ts';

/** Time that a closure costs before and after the work, and waits in between. */
export function TimeFields(props: RulesProps) {
  const { draft, set, defaults } = props;
  const { openJoints, washAfterSawing } = draft.rules;
  return (
    <>
      <div className="setup-numbers">
        <NumberAt {...props} place="setUpMinutes" label="Set up, minutes a closure" />
        <NumberAt {...props} place="clearAwayMinutes" label="Clear away, minutes a closure" />
        <NumberAt {...props} place="paceAllowance" label="Left free for a slow night, % of the working time" />
        <NumberAt {...props} place="wastageFactor" label="Sealant wasted, %" />
      </div>
      <ChoiceCards
        legend="A joint that is opened"
        group="open-joints"
        choices={OPEN_JOINTS}
        chosen={openJoints}
        onChoose={(value) => set({ openJoints: value })}
      />
      <p className="small">
        Either way a prepared face (blasted and blown) is sealed on the same day, and concrete younger than{' '}
        {defaults.concreteAgeDays} days is not sealed (common practice).
      </p>
      <Reasons defaults={defaults} fields={['openJoints']} />
      <div className="setup-numbers">
        <div className="field">
          <label className="check">
            <input
              type="checkbox"
              checked={washAfterSawing}
              onChange={({ target }) => set({ washAfterSawing: target.checked })}
            />
            Sawn joints are washed
          </label>
          <span className="hint">{defaults.reasons.find(({ field }) => field === 'washAfterSawing')?.sentence}</span>
        </div>
        {washAfterSawing && <NumberAt {...props} place="dryingHours" label="Drying after washing, hours" />}
      </div>
      <details>
        <summary>Time to opening by sealant class</summary>
        <OpeningTable {...props} />
        <Reasons defaults={defaults} fields={['openingMinutes']} />
      </details>
    </>
  );
}

const OPEN_JOINTS = [
  {
    value: 'same-closure',
    name: 'is sealed before traffic returns',
    words: 'One closure holds all operations of a joint.',
  },
  {
    value: 'may-stay-open',
    name: 'may stay open to traffic',
    words: 'Sawn in one closure, prepared and sealed in a later one. Loose material in an open joint is a hazard.',
  },
] as const;

function OpeningTable({ draft, put, problems, defaults }: RulesProps) {
  const { rules, units } = draft;
  return (
    <DataTable
      caption="Minutes from the last metre sealed until traffic may run"
      rows={defaults.openings}
      rowKey={({ sealantClass }) => sealantClass}
      columns={[
        {
          key: 'class',
          head: 'Sealant class',
          cell: ({ sealantClass }) => labelOf(SEALANT_CLASS_LABELS, sealantClass),
        },
        {
          key: 'minutes',
          head: 'Minutes',
          cell: ({ sealantClass, minutesByGate }) => {
            const minutes = minutesByGate[rules.gateProfile];
            const own = ownNumber(rules, 'openingMinutes', sealantClass);
            const place = `openingMinutes.${sealantClass}`;
            return (
              <span className="rate-cell">
                <CellNumber
                  place={place}
                  label={`Minutes to opening: ${labelOf(SEALANT_CLASS_LABELS, sealantClass)}`}
                  problems={problems}
                  value={draft.texts[place] ?? kindAt(place, units).show(own ?? minutes)}
                  onChange={(text) =>
                    put(withOwnNumber(draft, { list: 'openingMinutes', key: sealantClass, usual: minutes }, text))
                  }
                />
                {own !== null && <span className="badge accent">yours</span>}
              </span>
            );
          },
        },
        {
          key: 'usual',
          head: 'Default',
          numeric: true,
          cell: ({ minutesByGate }) => minutesByGate[rules.gateProfile],
        },
        {
          key: 'mark',
          head: 'Rests on',
          cell: RestsOn,
        },
      ]}
    />
  );
}
