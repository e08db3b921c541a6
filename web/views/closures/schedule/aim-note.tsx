import type { Schedule } from '../../../../server/schemas/closures.ts';
import { describeError } from '../../../api/request.ts';
import { closureName, formatPeriod } from '../../../state/closure-words.ts';
import { formatCount, formatShare } from '../../../state/format.ts';
import { ConflictList } from './conflict-list.tsx';
import type { Aim } from './use-aim.ts';

/** Where the closure in hand would go and what it would break there, before it is put down. */
export function AimNote({ schedule, aim, onPut }: { schedule: Schedule; aim: Aim; onPut: () => void }) {
  const { closure, startsAt, windows, check } = aim;
  const window = windows.find((each) => each.startsAt === startsAt);
  const going = closure !== null && startsAt !== null;
  return (
    <div className={`aim-note${going ? ' going' : ''}`}>
      <div role="status">
        {!going && (
          <p className="small soft">
            Arrow keys go from closure to closure, Enter opens one. Shift with the left or right arrow aims it at the
            previous or next free window; Enter then moves it, Escape leaves it. Or drag it along its row.
          </p>
        )}
        {aim.end !== null && <p>There is no {aim.end} window that is free and in which it may close.</p>}
        {going && (
          <>
            <p>
              <strong>{closureName(closure)}</strong> to{' '}
              <strong>{window ? formatPeriod(window, schedule.timeZone) : startsAt.replace('T', ', ')}</strong>.{' '}
              {window &&
                (window.weatherChance === null
                  ? 'No weather record to judge by.'
                  : `Workable weather in ${formatShare(window.weatherChance)}.`)}{' '}
              {check.isError
                ? describeError(check.error)
                : check.data === undefined
                  ? 'Looking at the rules…'
                  : check.data.length === 0
                    ? 'It breaks no rule there.'
                    : `It breaks ${formatCount(check.data.length, 'rule')} there:`}
            </p>
            {check.data && check.data.length > 0 && <ConflictList conflicts={check.data} />}
          </>
        )}
      </div>
      {going && (
        <div className="row">
          <button type="button" className="button primary" onClick={onPut}>
            Move it here
          </button>
          <button type="button" className="button" onClick={aim.leave}>
            Leave it where it is
          </button>
        </div>
      )}
    </div>
  );
}
