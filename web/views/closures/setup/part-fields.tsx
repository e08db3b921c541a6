import type { ClosureRules } from '../../../../server/schemas/closure-rules.ts';
import { ChoiceCards } from '../../shared/choice-cards.tsx';
import { Reasons } from '../../shared/form-fields.tsx';
import type { RulesProps } from './rules-props.ts';

type Parts = NonNullable<ClosureRules['parts']>;

/** Plans of before there were directions close whole facilities. */
const WHOLE: Parts = { closeBy: 'facility', directionsTogether: false, lanesTogether: false, acrossByHalves: true };

/** Whether a road closes as a whole, one direction, or only the lanes that the work needs. */
export function PartFields({ draft, set, defaults }: RulesProps) {
  const parts = draft.rules.parts ?? WHOLE;
  const change = (part: Partial<Parts>) => set({ parts: { ...parts, ...part } });
  return (
    <>
      <p className="small soft">
        This is for facilities whose segments tell a direction, and lanes where they are to close by lane. All others
        close as a whole, and so does a joint between the two directions or one that tells none.
      </p>
      <ChoiceCards
        legend="A closure of a road takes"
        group="close-by"
        choices={CLOSE_BY}
        chosen={parts.closeBy}
        onChoose={(closeBy) => change({ closeBy })}
      />
      {parts.closeBy !== 'facility' && (
        <div className="stack">
          <Choice
            label="Both directions of a road may be closed on the same night, by two closures"
            checked={parts.directionsTogether}
            onChange={(directionsTogether) => change({ directionsTogether })}
          />
          {parts.closeBy === 'lane' && (
            <Choice
              label="Different lanes of one direction may be closed on the same night, by two closures"
              checked={parts.lanesTogether}
              onChange={(lanesTogether) => change({ lanesTogether })}
            />
          )}
          <Choice
            label="Transverse joints across both directions are done one direction at a time, half of their length each"
            checked={parts.acrossByHalves}
            onChange={(acrossByHalves) => change({ acrossByHalves })}
          />
        </div>
      )}
      <Reasons defaults={defaults} fields={['parts']} />
    </>
  );
}

const CLOSE_BY = [
  { value: 'facility', name: 'the whole road', words: 'Both directions, all lanes.' },
  {
    value: 'direction',
    name: 'one direction',
    words: 'All work of that direction, in whichever lanes it lies; the closure tells them.',
  },
  {
    value: 'lane',
    name: 'the lanes that the work needs',
    words: 'Work that needs the same lanes goes together; other lanes of the direction stay open.',
  },
] as const;

function Choice({
  label,
  checked,
  onChange,
}: {
  label: string;
  checked: boolean;
  onChange: (checked: boolean) => void;
}) {
  return (
    <label className="check">
      <input type="checkbox" checked={checked} onChange={({ target }) => onChange(target.checked)} />
      {label}
    </label>
  );
}
