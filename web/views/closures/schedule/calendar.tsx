import { type KeyboardEvent, useEffect, useId, useState } from 'react';
import type { Closure, Schedule } from '../../../../server/schemas/closures.ts';
import {
  addDays,
  byStart,
  calendarRows,
  daysFrom,
  type Step,
  sharedHead,
  stepFrom,
  weekOf,
} from '../../../state/closure-calendar.ts';
import { formatWeekday } from '../../../state/closure-words.ts';
import { formatDay } from '../../../state/format.ts';
import { useUnits } from '../../shared/preferences.ts';
import { useMedia } from '../../shared/use-media.ts';
import { AimNote } from './aim-note.tsx';
import { CalendarKey } from './calendar-key.tsx';
import { barId, CalendarRowView } from './calendar-row.tsx';
import { useAim } from './use-aim.ts';
import type { ClosureEdits } from './use-closure-edits.ts';

interface Props {
  readonly schedule: Schedule;
  /** Of the facilities shown. */ readonly closures: readonly Closure[];
  readonly open: Closure | null;
  readonly onOpen: (closure: Closure) => void;
  readonly edits: ClosureEdits;
}

const STEPS: Readonly<Record<string, Step>> = {
  ArrowLeft: 'left',
  ArrowRight: 'right',
  ArrowUp: 'up',
  ArrowDown: 'down',
  Home: 'first',
  End: 'last',
};

/** Facilities against days, some weeks at a time. One closure is reached by Tab, the others by arrow keys. */
export function Calendar({ schedule, closures, open, onOpen, edits }: Props) {
  const roomy = useMedia('(min-width: 64rem)');
  const units = useUnits();
  const days = roomy ? 28 : 14;
  const ordered = [...closures].sort(byStart);
  const first = ordered.find(({ state }) => state === 'planned') ?? ordered[0];
  const [firstDay, setFirstDay] = useState(() => weekOf((open ?? first).startsAt));
  const [focusUid, setFocusUid] = useState<string | null>(null);
  const aim = useAim(schedule);
  const shown = daysFrom(firstDay, days);
  const rows = calendarRows(closures, { firstDay, days });
  const head = sharedHead(rows.map(({ name }) => name));
  const visible = rows.flatMap((row) => row.closures.map(({ closure }) => closure));
  const tabUid = (visible.find(({ uid }) => uid === focusUid) ?? visible[0])?.uid ?? null;
  const show = (local: string) => {
    if (local < firstDay || local.slice(0, 10) > shown[days - 1]) setFirstDay(weekOf(local));
  };
  // A closure that is opened, or moved from its card, is brought into sight.
  const openAt = open?.startsAt ?? null;
  const [followed, setFollowed] = useState(openAt);
  if (openAt !== followed) {
    setFollowed(openAt);
    if (openAt !== null) show(openAt);
  }
  const wanted = useFocusWanted();
  const goTo = (closure: Closure | null) => {
    if (!closure) return;
    show(closure.startsAt);
    setFocusUid(closure.uid);
    wanted.ask(closure.uid);
  };
  const put = () => {
    const { closure, startsAt } = aim;
    aim.leave();
    if (!closure || startsAt === null) return;
    edits.make(closure, { startsAt }, () => {
      show(startsAt);
      wanted.ask(closure.uid);
    });
  };
  const onKey = (event: KeyboardEvent, closure: Closure) => {
    const step = STEPS[event.key];
    const going = aim.closure?.uid === closure.uid && aim.startsAt !== null;
    if (event.shiftKey && (step === 'left' || step === 'right')) {
      event.preventDefault();
      if (closure.state === 'planned')
        void aim.step(closure, step === 'right' ? 1 : -1).then((startsAt) => startsAt && show(startsAt));
    } else if (event.key === 'Escape' && aim.closure) {
      event.preventDefault();
      aim.leave();
      show(closure.startsAt);
    } else if (event.key === 'Enter' && going) {
      event.preventDefault();
      put();
    } else if (step) {
      event.preventDefault();
      aim.leave();
      goTo(stepFrom(closures, closure.uid, step));
    }
  };
  const unit = units === 'us' ? 'ft' : 'm';
  return (
    <>
      <Paging firstDay={firstDay} days={days} closures={closures} onChange={setFirstDay} />
      <CalendarKey unit={unit} />
      <div className="calendar">
        <div className="cal-row cal-head" aria-hidden="true">
          <span className="cal-name small soft">{head || 'Facility'}</span>
          <div className="cal-days" style={{ gridTemplateColumns: `repeat(${days}, minmax(0, 1fr))` }}>
            {shown
              .filter((_, index) => index % 7 === 0)
              .map((week, index) => (
                <span key={week} className="cal-week" style={{ gridColumn: `${index * 7 + 1} / span 7` }}>
                  Week of {formatDay(week)}
                </span>
              ))}
            {shown.map((day, index) => (
              <span key={day} className="cal-date" style={{ gridColumn: index + 1 }}>
                {formatWeekday(day).charAt(0)}
                <b className="figures">{Number(day.slice(8))}</b>
              </span>
            ))}
          </div>
        </div>
        <ul className="cal-rows" aria-label={`Closures from ${formatDay(shown[0])} to ${formatDay(shown[days - 1])}`}>
          {rows.map((row) => (
            <CalendarRowView
              key={row.id}
              row={row}
              name={head === '' ? row.name : row.name.slice(head.length + 1).trim()}
              days={shown}
              timeZone={schedule.timeZone}
              openUid={open?.uid ?? null}
              tabUid={tabUid}
              aim={aim}
              onOpen={onOpen}
              onFocus={({ uid }) => setFocusUid(uid)}
              onKey={onKey}
              onPut={put}
            />
          ))}
        </ul>
      </div>
      <AimNote schedule={schedule} aim={aim} onPut={put} />
    </>
  );
}

/** Focuses a bar once it is drawn: it may lie in weeks that are only now shown. */
function useFocusWanted() {
  const [uid, ask] = useState<string | null>(null);
  useEffect(() => {
    if (uid === null) return;
    const bar = document.getElementById(barId(uid));
    if (!bar) return;
    bar.focus();
    ask(null);
  });
  return { ask };
}

function Paging({
  firstDay,
  days,
  closures,
  onChange,
}: {
  firstDay: string;
  days: number;
  closures: readonly Closure[];
  onChange: (day: string) => void;
}) {
  const id = useId();
  const starts = closures.map(({ startsAt }) => weekOf(startsAt)).sort();
  const [first, last] = [starts[0], starts[starts.length - 1]];
  const weeks: string[] = [];
  for (let week = first; week <= last; week = addDays(week, 7)) weeks.push(week);
  if (!weeks.includes(firstDay)) weeks.push(firstDay);
  const end = addDays(firstDay, days - 1);
  return (
    <div className="row cal-paging">
      <button
        type="button"
        className="button"
        disabled={firstDay <= first}
        onClick={() => onChange(addDays(firstDay, -7))}
      >
        ← Week before
      </button>
      <button type="button" className="button" disabled={end >= last} onClick={() => onChange(addDays(firstDay, 7))}>
        Week after →
      </button>
      <label className="small" htmlFor={id}>
        From the week of
      </label>
      <select id={id} className="select cal-from" value={firstDay} onChange={({ target }) => onChange(target.value)}>
        {weeks.sort().map((week) => (
          <option key={week} value={week}>
            {formatDay(week)}
          </option>
        ))}
      </select>
    </div>
  );
}
