import { lazy, Suspense, useId, useRef } from 'react';
import type { Closure, Schedule } from '../../../../server/schemas/closures.ts';
import { CLOSURE_LINES } from '../../../map/closure-layers.ts';
import { closedByDay } from '../../../state/closure-calendar.ts';
import { closedName, formatClocks, formatWeekday, zoneName } from '../../../state/closure-words.ts';
import { formatCount, formatLength } from '../../../state/format.ts';
import '../../map/map.css';
import { LineMark } from '../../program/answer/work-key.tsx';
import { DataTable } from '../../shared/data-table.tsx';
import { useTheme, useUnits } from '../../shared/preferences.ts';
import { Loading } from '../../shared/states.tsx';
import { useNear } from '../../shared/use-near.ts';
import { useClosureView } from '../use-closure-view.ts';
import { ClosureBadges } from './closure-badges.tsx';

/** The map library is fetched when the map is near, not before the calendar is read. */
const DayMap = lazy(async () => ({ default: (await import('./day-map.tsx')).DayMap }));

interface Props {
  readonly schedule: Schedule;
  readonly closures: readonly Closure[];
  readonly onOpen: (closure: Closure) => void;
}

/** Where is closed on a day: a map with a day to be moved, and that day's closures beside it. */
export function DayByDay({ schedule, closures, onOpen }: Props) {
  const [view, setView] = useClosureView();
  const place = useRef<HTMLElement>(null);
  const near = useNear(place);
  const days = closedByDay(closures);
  if (days.length === 0) return null;
  const found = days.findIndex(({ day }) => view.day !== null && day >= view.day);
  const index = view.day === null ? 0 : found < 0 ? days.length - 1 : found;
  const { day, closures: closed } = days[index];
  const goTo = (next: number) => setView({ day: days[next]?.day ?? null }, { replace: true });
  return (
    <section className="card stack" aria-labelledby="days-title" ref={place}>
      <h2 id="days-title">Day by day on the map</h2>
      <DaySlider days={days} index={index} onChange={goTo} />
      <DayKey />
      <div className="where closure-days">
        <div className="map-stage where-map">
          {near && (
            <Suspense fallback={<Loading what="the map" />}>
              <DayMap closures={closed} />
            </Suspense>
          )}
        </div>
        <DayTable schedule={schedule} day={day} closures={closed} onOpen={onOpen} />
      </div>
    </section>
  );
}

function DaySlider({
  days,
  index,
  onChange,
}: {
  days: ReturnType<typeof closedByDay>;
  index: number;
  onChange: (index: number) => void;
}) {
  const id = useId();
  const units = useUnits();
  const { day, closures } = days[index];
  const lengthM = closures.reduce((sum, closure) => sum + closure.lengthM, 0);
  return (
    <div className="day-slider">
      <button type="button" className="button" disabled={index === 0} onClick={() => onChange(index - 1)}>
        ← Day before
      </button>
      <div className="field year-slider">
        <label htmlFor={id}>
          <output className="figures">{formatWeekday(day)}</output>: {formatCount(closures.length, 'closure')},{' '}
          {formatLength(lengthM, units)} of joint
        </label>
        <input
          id={id}
          type="range"
          min={0}
          max={days.length - 1}
          step={1}
          value={index}
          aria-valuetext={formatWeekday(day)}
          onChange={({ target }) => onChange(Number(target.value))}
        />
        <span className="scale-words figures" aria-hidden="true">
          <span>{formatWeekday(days[0].day)}</span>
          <span>{formatWeekday(days[days.length - 1].day)}</span>
        </span>
      </div>
      <button type="button" className="button" disabled={index === days.length - 1} onClick={() => onChange(index + 1)}>
        Day after →
      </button>
    </div>
  );
}

function DayKey() {
  const theme = useTheme();
  const words = { worked: 'worked on', closed: 'closed with it', open: 'open' } as const;
  return (
    <div className="work-key">
      {(['worked', 'closed', 'open'] as const).map((state) => {
        const { colour, px, dash } = CLOSURE_LINES[state];
        return (
          <span key={state}>
            <LineMark colour={colour[theme]} px={px} dash={dash} /> {words[state]}
          </span>
        );
      })}
    </div>
  );
}

function DayTable({ schedule, day, closures, onOpen }: Props & { day: string }) {
  const units = useUnits();
  return (
    <DataTable
      caption={`Closed on ${formatWeekday(day)}`}
      rows={closures}
      rowKey={({ uid }) => uid}
      columns={[
        {
          key: 'facility',
          head: 'Facility',
          cell: (closure) => (
            <button type="button" className="row-open" onClick={() => onOpen(closure)}>
              {closedName(closure)}
            </button>
          ),
        },
        {
          key: 'time',
          head: 'Closed',
          cell: (closure) => (
            <span className="nowrap">
              {formatClocks(closure)} {zoneName(closure.endsAt, schedule.timeZone)}
            </span>
          ),
        },
        { key: 'length', head: 'Joint', numeric: true, cell: ({ lengthM }) => formatLength(lengthM, units) },
        {
          key: 'segments',
          head: 'Segments',
          cell: ({ works }) => (
            <span className="words code">{[...new Set(works.map(({ segmentId }) => segmentId))].join(', ')}</span>
          ),
        },
        {
          key: 'state',
          head: 'State',
          cell: (closure) => (
            <span className="closure-badges">
              <ClosureBadges closure={closure} />
            </span>
          ),
        },
      ]}
    />
  );
}
