import { gateInUnits } from '../../../state/closure-rules-words.ts';
import { Reasons } from '../../shared/form-fields.tsx';
import { useUnits } from '../../shared/preferences.ts';
import { NumberAt } from './rule-inputs.tsx';
import type { RulesProps } from './rules-props.ts';

/** Whose weather limits are followed, how bad a chance is still taken, and what is kept in reserve. */
export function WeatherFields(props: RulesProps) {
  const { draft, set, defaults } = props;
  const units = useUnits();
  return (
    <>
      <fieldset className="setup-question">
        <legend className="label">Weather in which sealant may be placed</legend>
        {defaults.gates.map(({ profile, words, source }) => (
          <label key={profile} className="choice-card">
            <input
              type="radio"
              name="gate-profile"
              checked={draft.rules.gateProfile === profile}
              onChange={() => set({ gateProfile: profile })}
            />
            <span>
              <strong>{gateInUnits(words, units)}</strong>
              <span className="small soft">{source}</span>
            </span>
          </label>
        ))}
      </fieldset>
      <p className="small soft">
        Published limits differ: take those of your own specification. Preformed seals have limits of their own under
        each: air and pavement above {units === 'us' ? '32 °F' : '0 °C'}, dry. A daily record has no pavement
        temperature; air stands in for it.
      </p>
      <Reasons defaults={defaults} fields={['gateProfile']} />
      <div className="setup-numbers">
        <NumberAt {...props} place="leastChance" label="Least chance of workable weather, %" />
        <NumberAt
          {...props}
          place="closuresPerReserve"
          label="Closures to one reserve window"
          placeholder="no reserve"
        />
      </div>
    </>
  );
}
