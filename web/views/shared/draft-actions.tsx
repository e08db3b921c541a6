import type { DraftState } from './kept-drafts.ts';

interface Props {
  readonly state: Pick<DraftState<unknown>, 'touched' | 'overtaken' | 'forget'>;
  /** Something typed cannot be read. */ readonly mend: boolean;
  readonly busy: boolean;
  /** Saves what was typed, and makes what rests on it. */ readonly onMake: () => void;
  /** With nothing to save, it is made elsewhere on the screen. */ readonly make: string;
}

/** The foot of a form whose changes are kept until they are saved. */
export function DraftActions({ state, mend, busy, onMake, make }: Props) {
  const { touched, overtaken } = state;
  return (
    <div className="row">
      <button type="submit" className="button" disabled={mend || busy || !touched || overtaken}>
        Save
      </button>
      {touched && (
        <>
          <button type="button" className="button primary" disabled={mend || busy || overtaken} onClick={onMake}>
            {make}
          </button>
          <button type="button" className="button quiet" onClick={state.forget}>
            Undo changes
          </button>
        </>
      )}
      <span className="small soft" role="status">
        {mend ? 'Mend the marked fields first.' : touched ? 'Not saved yet.' : ''}
      </span>
    </div>
  );
}
