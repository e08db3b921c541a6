import type { ReactNode } from 'react';
import { describeError } from '../../api/request.ts';
import type { DraftState } from './kept-drafts.ts';
import { Banner } from './states.tsx';
import './setup.css';

export interface SetupGroup {
  readonly id: string;
  readonly title: string;
  /** Fields of it that must be mended. */ readonly faults: number;
  readonly fields: ReactNode;
}

/** A long form in groups: an index beside it, a foot that stays in sight with what is done with it. */
export function SetupFrame({
  legend,
  groups,
  disabled = false,
  notices,
  foot,
  onSubmit,
}: {
  legend: string;
  groups: readonly SetupGroup[];
  disabled?: boolean;
  notices?: ReactNode;
  foot: ReactNode;
  onSubmit: () => void;
}) {
  return (
    <form
      className="setup"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        onSubmit();
      }}
    >
      <nav className="setup-index" aria-label="Groups of inputs">
        <ol>
          {groups.map(({ id, title, faults }) => (
            <li key={id}>
              <a href={`#setup-${id}`}>{title}</a>
              {faults > 0 && (
                <span className="badge fault">
                  {faults}
                  <span className="unseen"> to mend</span>
                </span>
              )}
            </li>
          ))}
        </ol>
      </nav>
      <div className="setup-groups">
        {notices}
        <fieldset disabled={disabled} className="setup-fields">
          <legend className="unseen">{legend}</legend>
          {groups.map(({ id, title, fields }) => (
            <section key={id} className="card stack" id={`setup-${id}`} aria-labelledby={`setup-${id}-title`}>
              <h2 id={`setup-${id}-title`}>{title}</h2>
              {fields}
            </section>
          ))}
        </fieldset>
        {!disabled && <div className="setup-foot">{foot}</div>}
      </div>
    </form>
  );
}

/** The thing was changed elsewhere while its form was filled in. @param what as in "This scenario" */
export const Overtaken = <Draft,>({ what, state }: { what: string; state: DraftState<Draft> }) => (
  <Banner kind="caution">
    <strong>{what} was changed elsewhere since you began to type.</strong>
    <OvertakenChoices state={state} />
  </Banner>
);

export function OvertakenChoices<Draft>({ state, onDone }: { state: DraftState<Draft>; onDone?: () => void }) {
  const choice = (words: string, act: () => void) => (
    <button
      type="button"
      className="button"
      onClick={() => {
        act();
        onDone?.();
      }}
    >
      {words}
    </button>
  );
  return (
    <>
      {choice('Show it as it is now', state.forget)}
      {choice('Put mine over it', state.carryOn)}
    </>
  );
}

export const SaveProblems = ({ error, others }: { error: unknown; others: readonly string[] }) =>
  error === null ? null : (
    <Banner kind="fault">
      <span>{others.length > 0 ? others.join(' ') : describeError(error)}</span>
    </Banner>
  );
