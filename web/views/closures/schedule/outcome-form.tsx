import { useState } from 'react';
import type { Closure } from '../../../../server/schemas/closures.ts';
import { formatLength, formatNumber } from '../../../state/format.ts';
import { lengthInM, lengthInUnits } from '../../../state/units.ts';
import { Field } from '../../shared/controls.tsx';
import { useUnits } from '../../shared/preferences.ts';
import type { ClosureEdits } from './use-closure-edits.ts';

interface Props {
  readonly closure: Closure;
  readonly state: 'done' | 'lost';
  readonly edits: ClosureEdits;
  readonly onClose: () => void;
}

/** How a closure ended, and how much of it was finished; the rest is scheduled again. */
export function OutcomeForm({ closure, state, edits, onClose }: Props) {
  const units = useUnits();
  const whole = lengthInUnits(closure.lengthM, units, Number.POSITIVE_INFINITY);
  const [typed, setTyped] = useState(state === 'done' ? formatNumber(whole.value, 1) : '0');
  const value = Number(typed.replaceAll(',', '').trim());
  const wrong =
    typed.trim() === '' || !Number.isFinite(value) || value < 0 || value > whole.value + 0.06
      ? `Expected 0 to ${formatNumber(whole.value, 1)} ${whole.unit}, its length.`
      : null;
  const save = () => {
    // What rounds to the whole length is the whole length.
    const doneM = value > whole.value - 0.06 ? closure.lengthM : lengthInM(value, units);
    edits.make(closure, { state, doneM }, onClose);
  };
  return (
    <form
      className="outcome-form"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        if (wrong === null) save();
      }}
    >
      <Field
        label={`Joint that was finished, ${whole.unit}`}
        hint={`Of ${formatLength(closure.lengthM, units, Number.POSITIVE_INFINITY)}, in the order of its segments; the rest can be scheduled again.`}
        error={wrong}
      >
        {(control) => (
          <input
            {...control}
            className="input numeric"
            inputMode="decimal"
            value={typed}
            onChange={({ target }) => setTyped(target.value)}
          />
        )}
      </Field>
      <div className="row">
        <button type="submit" className="button primary" disabled={wrong !== null || edits.pending}>
          {state === 'done' ? 'It is done' : 'It was lost to weather'}
        </button>
        <button type="button" className="button" onClick={onClose}>
          Not yet
        </button>
      </div>
    </form>
  );
}
