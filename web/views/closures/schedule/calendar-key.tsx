import { LockIcon, MARKS } from './closure-badges.tsx';

/** What shapes and marks of the calendar stand for. */
export function CalendarKey({ unit }: { unit: string }) {
  return (
    <ul className="cal-key small" aria-label="Key to the calendar">
      <li>
        <span className="cal-bar planned" aria-hidden="true">
          200
        </span>
        closure, with its {unit} of joint
      </li>
      <li>
        <span className="cal-bar planned" aria-hidden="true">
          <LockIcon />
        </span>
        locked
      </li>
      <li>
        <span className="cal-bar done" aria-hidden="true">
          {MARKS.done}
        </span>
        done
      </li>
      <li>
        <span className="cal-bar lost" aria-hidden="true">
          {MARKS.lost}
        </span>
        lost to weather
      </li>
      <li>
        <span className="cal-bar planned conflict" aria-hidden="true">
          {MARKS.conflict}
        </span>
        breaks a rule
      </li>
      <li>
        <span className="cal-reserve" aria-hidden="true">
          R
        </span>
        reserve window
      </li>
    </ul>
  );
}
