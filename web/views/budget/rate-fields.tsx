import type { FieldProblem, RatesDraft } from '../../state/budget-edit.ts';
import type { Units } from '../../state/units.ts';
import { Field } from '../shared/controls.tsx';

interface Props {
  draft: RatesDraft;
  problems: readonly FieldProblem[];
  units: Units;
  onChange: (draft: RatesDraft) => void;
}

/** Rates that turn unit costs into a budget. */
export function RateFields({ draft, problems, units, onChange }: Props) {
  const per = units === 'us' ? 'ft' : 'm';
  const fields: { field: keyof RatesDraft; label: string; hint: string }[] = [
    { field: 'escalationPercent', label: 'Price escalation, % a year', hint: 'Taken on unit costs from their year on' },
    {
      field: 'discountPercent',
      label: 'Discount rate, % a year',
      hint: 'A real rate, for constant prices; 4 % in FHWA-SA-98-079',
    },
    {
      field: 'openJointCost',
      label: `Open joint, ${draft.currency} per ${per} and year`,
      hint: 'What a failed joint costs while left open; moves the recommended year',
    },
    { field: 'currency', label: 'Currency', hint: 'Three letters, ISO 4217; amounts are not converted' },
  ];
  return (
    <div className="grid rate-fields">
      {fields.map(({ field, label, hint }) => (
        <Field key={field} label={label} hint={hint} error={problems.find((each) => each.field === field)?.message}>
          {(control) => (
            <input
              {...control}
              className={`input ${field === 'currency' ? '' : 'numeric'}`}
              inputMode={field === 'currency' ? 'text' : 'decimal'}
              value={draft[field]}
              onChange={({ target }) => onChange({ ...draft, [field]: target.value })}
            />
          )}
        </Field>
      ))}
    </div>
  );
}
