import { useQuery } from '@tanstack/react-query';
import { useId, useState } from 'react';
import type { Closure, Schedule } from '../../../../server/schemas/closures.ts';
import { describeError } from '../../../api/request.ts';
import { startsOfSame } from '../../../state/closure-calendar.ts';
import { closedName, closureName, formatPeriod } from '../../../state/closure-words.ts';
import { formatShare } from '../../../state/format.ts';
import { Dialog } from '../../shared/dialog.tsx';
import { Answered, Banner } from '../../shared/states.tsx';
import { windowsQuery } from '../closure-queries.ts';
import { ConflictList } from './conflict-list.tsx';
import { useMoveCheck } from './use-aim.ts';

interface Props {
  readonly schedule: Schedule;
  readonly closure: Closure;
  readonly onMove: (startsAt: string) => void;
  readonly onClose: () => void;
}

/** The windows that a closure may move to, with the weather of each and the rules that it would break there. */
export function MoveDialog({ schedule, closure, onMove, onClose }: Props) {
  const windows = useQuery(windowsQuery(schedule.planId, closure));
  const [chosen, setChosen] = useState<string | null>(null);
  const [barredToo, setBarredToo] = useState(false);
  const name = useId();
  const check = useMoveCheck(schedule, closure, chosen);
  const taken = startsOfSame(schedule.closures, closure);
  return (
    <Dialog
      title={`Move ${closureName(closure)}`}
      open
      onClose={onClose}
      foot={
        <>
          <button type="button" className="button" onClick={onClose}>
            Leave it where it is
          </button>
          <button
            type="button"
            className="button primary"
            disabled={chosen === null || check.isLoading}
            onClick={() => chosen !== null && onMove(chosen)}
          >
            {check.data && check.data.length > 0 ? 'Move it all the same' : 'Move it'}
          </button>
        </>
      }
    >
      <Answered query={windows} what="the windows of this facility">
        {(list) => {
          const free = list.filter(({ startsAt, barred }) => !taken.has(startsAt) && (barredToo || barred === null));
          return (
            <div className="stack">
              <fieldset className="field">
                <legend>Free windows of {closedName(closure)}</legend>
                <div className="window-list">
                  {free.length === 0 && <p className="soft">There is no other window in which it may close.</p>}
                  {free.map((window) => (
                    <label key={window.startsAt} className="check">
                      <input
                        type="radio"
                        name={name}
                        checked={chosen === window.startsAt}
                        onChange={() => setChosen(window.startsAt)}
                      />
                      <span>
                        {formatPeriod(window, schedule.timeZone)}
                        {window.barred !== null && <span className="soft"> – {window.barred}</span>}
                      </span>
                      <span className="count">
                        {window.weatherChance === null
                          ? 'weather not told'
                          : `weather ${formatShare(window.weatherChance)}`}
                      </span>
                    </label>
                  ))}
                </div>
              </fieldset>
              <label className="check small">
                <input type="checkbox" checked={barredToo} onChange={({ target }) => setBarredToo(target.checked)} />
                Show also windows in which it may not close, with the reason
              </label>
              <div role="status">
                {chosen !== null && check.isLoading && <p className="small">Looking at the rules…</p>}
                {check.isError && <Banner kind="fault">{describeError(check.error)}</Banner>}
                {check.data && check.data.length === 0 && <p className="small">It breaks no rule there.</p>}
                {check.data && check.data.length > 0 && <ConflictList conflicts={check.data} />}
              </div>
            </div>
          );
        }}
      </Answered>
    </Dialog>
  );
}
