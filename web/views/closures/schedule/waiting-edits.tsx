import type { ClosureEdit, Schedule } from '../../../../server/schemas/closures.ts';
import { formatPeriod, formatWeekday, STATE_LABELS } from '../../../state/closure-words.ts';
import { ClashNote } from '../clash-note.tsx';
import type { ClosureEdits } from './use-closure-edits.ts';

/** Changes that came second, each with what was changed meanwhile, to be made all the same or dropped. */
export function WaitingEdits({
  schedule,
  edits,
  of,
}: {
  schedule: Schedule;
  edits: ClosureEdits;
  /** Those of some closures. */ of: (closureUid: string) => boolean;
}) {
  const shown = edits.waiting.filter(({ closureUid }) => of(closureUid));
  return shown.map((waiting) => {
    const closure = schedule.closures.find(({ uid }) => uid === waiting.closureUid);
    const fresh = schedule.planRevision >= waiting.clash.revision;
    return (
      <ClashNote
        key={waiting.closureUid}
        clash={waiting.clash}
        kept={`Your change is kept and not made yet: ${waiting.name}: ${editWords(waiting.edit)}.`}
      >
        {closure ? (
          <>
            <span className="small">
              It is now on {formatPeriod(closure, schedule.timeZone)}
              {closure.state === 'planned' ? '' : `, ${STATE_LABELS[closure.state].toLowerCase()}`}.
            </span>
            <button
              type="button"
              className="button primary"
              disabled={!fresh || edits.pending}
              onClick={() => edits.make(closure, waiting.edit)}
            >
              Make my change all the same
            </button>
          </>
        ) : (
          <span className="small">That closure is not in the schedule any more.</span>
        )}
        <button type="button" className="button" onClick={() => edits.drop(waiting)}>
          Drop my change
        </button>
      </ClashNote>
    );
  });
}

/** "move to Wed 5 Aug 2026, 23:00; lock". */
function editWords({ startsAt, locked, state, note }: ClosureEdit): string {
  return [
    startsAt !== undefined && `move to ${formatWeekday(startsAt)}, ${startsAt.slice(11)}`,
    locked !== undefined && (locked ? 'lock' : 'unlock'),
    state !== undefined && `mark as ${STATE_LABELS[state].toLowerCase()}`,
    note !== undefined && (note === '' ? 'take the note out' : `note “${note}”`),
  ]
    .filter((words): words is string => typeof words === 'string')
    .join('; ');
}
