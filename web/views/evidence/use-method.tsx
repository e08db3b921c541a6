import { type ReactNode, useState } from 'react';
import type { BacktestEvidence, MethodReport } from '../../../server/schemas/evidence-backtest.ts';
import { METHOD_LABELS } from '../../state/evidence-words.ts';
import { labelOf } from '../../state/words.ts';
import { Field } from '../shared/controls.tsx';

/** Which of the judged methods a figure is about: the model in use until another is picked. */
export function useMethod(
  { model, others }: BacktestEvidence,
  label: string,
): { readonly method: MethodReport; readonly picker: ReactNode } {
  const methods = [model, ...others];
  const [chosen, choose] = useState(model.name);
  const method = methods.find(({ name }) => name === chosen) ?? model;
  const picker = (
    <Field label={label}>
      {(control) => (
        <select {...control} className="select" value={method.name} onChange={({ target }) => choose(target.value)}>
          {methods.map(({ name }) => (
            <option key={name} value={name}>
              {labelOf(METHOD_LABELS, name)}
            </option>
          ))}
        </select>
      )}
    </Field>
  );
  return { method, picker };
}
