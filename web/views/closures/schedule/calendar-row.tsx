import type { DragEvent, KeyboardEvent } from 'react';
import type { Closure } from '../../../../server/schemas/closures.ts';
import type { ClosureWindow } from '../../../api/closures.ts';
import { type CalendarRow, type ClosureBar, isWeekend, rowIdOf } from '../../../state/closure-calendar.ts';
import { closedName, closureMarks, finishWords, formatPeriod, formatWeekday } from '../../../state/closure-words.ts';
import { formatLength, formatNumber } from '../../../state/format.ts';
import { lengthInUnits } from '../../../state/units.ts';
import { useUnits } from '../../shared/preferences.ts';
import { LockIcon, MARKS } from './closure-badges.tsx';
import type { Aim } from './use-aim.ts';

interface Props {
  readonly row: CalendarRow;
  /** Without what all names of the calendar begin with. */ readonly name: string;
  readonly days: readonly string[];
  readonly timeZone: string;
  readonly openUid: string | null;
  /** The one closure that the Tab key reaches. */ readonly tabUid: string | null;
  readonly aim: Aim;
  readonly onOpen: (closure: Closure) => void;
  readonly onFocus: (closure: Closure) => void;
  readonly onKey: (event: KeyboardEvent, closure: Closure) => void;
  readonly onPut: () => void;
}

/** One facility against the days: its closures as bars, its reserve windows, and where a bar in hand may go. */
export function CalendarRowView(props: Props) {
  const { row, days, aim } = props;
  const aimed = aim.closure !== null && rowIdOf(aim.closure) === row.id;
  const place = (column: number, span: number, lane: number) => ({
    gridColumn: `${column + 1} / span ${span}`,
    gridRow: lane + 1,
  });
  const ghost = aimed && aim.startsAt ? days.indexOf(aim.startsAt.slice(0, 10)) : -1;
  return (
    <li className="cal-row">
      <span className="cal-name">{props.name}</span>
      <ul
        className="cal-days"
        aria-label={row.name}
        style={{
          gridTemplateColumns: `repeat(${days.length}, minmax(0, 1fr))`,
          gridTemplateRows: `repeat(${row.lanes}, minmax(2.25rem, 1fr))`,
        }}
      >
        {days.map((day, column) => (
          <li
            key={day}
            aria-hidden="true"
            className={dayClass(day, aimed ? windowOn(aim.windows, day) : undefined, aimed)}
            style={{ gridColumn: column + 1, gridRow: `1 / span ${row.lanes}` }}
            {...(aimed && dropOn(aim, day, props.onPut))}
          />
        ))}
        {row.reserves.map(({ startsAt, column, span, lane }) => (
          <li
            key={startsAt}
            className="cal-reserve"
            style={place(column, span, lane)}
            title={`Reserve window of ${row.name}, ${formatWeekday(startsAt)}`}
          >
            <span aria-hidden="true">R</span>
            <span className="unseen">Reserve window, {formatWeekday(startsAt)}</span>
          </li>
        ))}
        {row.closures.map((bar) => (
          <li key={bar.closure.uid} className="cal-place" style={place(bar.column, bar.span, bar.lane)}>
            <BarButton bar={bar} {...props} />
          </li>
        ))}
        {ghost >= 0 && <li className="cal-ghost" aria-hidden="true" style={place(ghost, 1, 0)} />}
      </ul>
    </li>
  );
}

const windowOn = (windows: readonly ClosureWindow[], day: string): ClosureWindow | undefined => {
  const own = windows.filter(({ startsAt }) => startsAt.startsWith(day));
  return own.find(({ barred }) => barred === null) ?? own[0];
};

const dayClass = (day: string, window: ClosureWindow | undefined, aimed: boolean): string =>
  [
    'cal-day',
    isWeekend(day) && 'weekend',
    new Date(`${day}T00:00Z`).getUTCDay() === 1 && 'monday',
    aimed && window && (window.barred === null ? 'may' : 'barred'),
  ]
    .filter(Boolean)
    .join(' ');

/** What a day does while a bar of its facility is dragged over it. */
function dropOn(aim: Aim, day: string, onPut: () => void) {
  const window = windowOn(aim.windows, day);
  if (!window) return {};
  return {
    onDragOver: (event: DragEvent) => {
      event.preventDefault();
      if (aim.startsAt !== window.startsAt) aim.over(window.startsAt);
    },
    onDrop: (event: DragEvent) => {
      event.preventDefault();
      onPut();
    },
  };
}

function BarButton({ bar, timeZone, openUid, tabUid, aim, onOpen, onFocus, onKey }: Props & { bar: ClosureBar }) {
  const { closure } = bar;
  const units = useUnits();
  const { value, unit } = lengthInUnits(closure.lengthM, units, Number.POSITIVE_INFINITY);
  const marks = closureMarks(closure);
  const spoken = [
    `${closedName(closure)}, ${formatPeriod(closure, timeZone)}`,
    formatLength(closure.lengthM, units),
    ...(closure.state === 'planned' && closure.finishChance !== null
      ? [`chance to finish ${finishWords(closure)}`]
      : []),
    ...marks,
  ].join(', ');
  return (
    <button
      type="button"
      id={barId(closure.uid)}
      className={[
        'cal-bar',
        closure.state,
        closure.conflicts.length > 0 && 'conflict',
        aim.closure?.uid === closure.uid && 'in-hand',
      ]
        .filter(Boolean)
        .join(' ')}
      aria-label={spoken}
      aria-expanded={closure.uid === openUid}
      title={spoken}
      tabIndex={closure.uid === tabUid ? 0 : -1}
      draggable={closure.state === 'planned'}
      onClick={() => onOpen(closure)}
      onFocus={() => onFocus(closure)}
      onKeyDown={(event) => onKey(event, closure)}
      onDragStart={(event) => {
        event.dataTransfer.effectAllowed = 'move';
        event.dataTransfer.setData('text/plain', closure.uid);
        aim.take(closure);
      }}
      onDragEnd={() => aim.leave()}
    >
      <span aria-hidden="true">
        {closure.conflicts.length > 0 && MARKS.conflict}
        {closure.state === 'done' && MARKS.done}
        {closure.state === 'lost' && MARKS.lost}
        {closure.locked && <LockIcon />}
        {marks.length === 0 && <span className="figures">{formatNumber(value)}</span>}
        {marks.length === 0 && bar.span > 1 && ` ${unit}`}
      </span>
    </button>
  );
}

export const barId = (uid: string): string => `closure-${uid}`;
