import { type KeyboardEvent, type ReactNode, useId, useRef } from 'react';

interface Choice<V extends string> {
  readonly value: V;
  readonly label: string;
  /** Drawn instead of the label; the label is still read out. */ readonly short?: ReactNode;
}

/** A choice of a few, side by side: radio buttons in one frame. */
export function Switch<V extends string>({
  label,
  value,
  choices,
  onChange,
}: {
  label: string;
  value: V;
  choices: readonly Choice<V>[];
  onChange: (value: V) => void;
}) {
  const name = useId();
  return (
    <fieldset className="switch">
      <legend className="unseen">{label}</legend>
      {choices.map((choice) => (
        <label key={choice.value} title={choice.label}>
          <input
            type="radio"
            name={name}
            value={choice.value}
            checked={choice.value === value}
            aria-label={choice.label}
            onChange={() => onChange(choice.value)}
          />
          <span aria-hidden="true">{choice.short ?? choice.label}</span>
        </label>
      ))}
    </fieldset>
  );
}

/** Label, control and hint or error, joined for screen readers. The control is given its id and description. */
export function Field({
  label,
  hint,
  error,
  children,
}: {
  label: ReactNode;
  hint?: ReactNode;
  error?: string | null;
  children: (control: { id: string; 'aria-describedby'?: string; 'aria-invalid'?: true }) => ReactNode;
}) {
  const id = useId();
  const described = [hint && `${id}-hint`, error && `${id}-error`].filter(Boolean).join(' ');
  return (
    <div className="field">
      <label htmlFor={id}>{label}</label>
      {children({ id, 'aria-describedby': described || undefined, 'aria-invalid': error ? true : undefined })}
      {hint && (
        <span className="hint" id={`${id}-hint`}>
          {hint}
        </span>
      )}
      {error && (
        <span className="field-error" id={`${id}-error`}>
          {error}
        </span>
      )}
    </div>
  );
}

/** Tabs after the ARIA pattern: arrow keys move between them, Tab goes into the panel. */
export function Tabs<V extends string>({
  label,
  value,
  choices,
  onChange,
  children,
}: {
  label: string;
  value: V;
  choices: readonly Choice<V>[];
  onChange: (value: V) => void;
  children: ReactNode;
}) {
  const id = useId();
  const list = useRef<HTMLDivElement>(null);
  const move = (event: KeyboardEvent) => {
    const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (step === undefined) return;
    event.preventDefault();
    const at = choices.findIndex((choice) => choice.value === value);
    const next = (at + step + choices.length) % choices.length;
    onChange(choices[next].value);
    list.current?.querySelectorAll<HTMLElement>('[role=tab]')[next]?.focus();
  };
  return (
    <div className="stack">
      <div className="tabs" role="tablist" aria-label={label} ref={list} onKeyDown={move}>
        {choices.map((choice) => (
          <button
            key={choice.value}
            type="button"
            role="tab"
            className="tab"
            id={`${id}-${choice.value}`}
            aria-selected={choice.value === value}
            aria-controls={`${id}-panel`}
            tabIndex={choice.value === value ? 0 : -1}
            onClick={() => onChange(choice.value)}
          >
            {choice.label}
          </button>
        ))}
      </div>
      <div role="tabpanel" id={`${id}-panel`} aria-labelledby={`${id}-${value}`}>
        {children}
      </div>
    </div>
  );
}

/** How far something is, with words. `share` 0-1; null: under way, length unknown. */
export function Progress({ label, share }: { label: string; share: number | null }) {
  const id = useId();
  return (
    <div className="field">
      <label htmlFor={id}>{label}</label>
      <progress id={id} className="progress" max={1} value={share ?? undefined} />
    </div>
  );
}
