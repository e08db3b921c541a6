import { useQuery } from '@tanstack/react-query';
import { useId } from 'react';
import type { Closure, ClosurePlan, Schedule } from '../../../../server/schemas/closures.ts';
import { describeError } from '../../../api/request.ts';
import { formatCount } from '../../../state/format.ts';
import { Answered, Banner, Empty } from '../../shared/states.tsx';
import { useMedia } from '../../shared/use-media.ts';
import { scheduleQuery } from '../closure-queries.ts';
import { useClosureView } from '../use-closure-view.ts';
import { Calendar } from './calendar.tsx';
import { barId } from './calendar-row.tsx';
import { ClosureCard } from './closure-card.tsx';
import { ClosureTable } from './closure-table.tsx';
import { DayByDay } from './day-by-day.tsx';
import { Grounds } from './grounds.tsx';
import { Headline } from './headline.tsx';
import './schedule.css';
import { TakeAway } from './take-away.tsx';
import { Unplaced } from './unplaced.tsx';
import { useClosureEdits } from './use-closure-edits.ts';
import { WaitingEdits } from './waiting-edits.tsx';
import { WeekList } from './week-list.tsx';

/** What the schedule says: in a sentence, as a calendar and as a table, with what can be changed by hand. */
export function SchedulePart({ plan }: { plan: ClosurePlan }) {
  const query = useQuery({ ...scheduleQuery(plan.id), enabled: plan.schedule !== null });
  return (
    <Answered query={plan.schedule === null ? { ...query, data: null } : query} what="the schedule">
      {(schedule) =>
        schedule ? (
          <ScheduleView plan={plan} schedule={schedule} />
        ) : (
          <div className="card">
            <Empty title="No schedule yet">
              <p>Look through the rules in Set up, then make the schedule with the button above.</p>
            </Empty>
          </div>
        )
      }
    </Answered>
  );
}

function ScheduleView({ plan, schedule }: { plan: ClosurePlan; schedule: Schedule }) {
  const [view, setView] = useClosureView();
  const narrow = useMedia('(max-width: 48rem)');
  const edits = useClosureEdits(schedule);
  const closures = schedule.closures.filter(
    ({ facilityId }) => view.facilityId === null || facilityId === view.facilityId,
  );
  const open = schedule.closures.find(({ uid }) => uid === view.closureUid) ?? null;
  const openCard = (closure: Closure) => setView({ closureUid: closure.uid }, { replace: true });
  const closeCard = () => {
    if (open) document.getElementById(barId(open.uid))?.focus();
    setView({ closureUid: null }, { replace: true });
  };
  const shared = { schedule, closures, open, onOpen: openCard };
  return (
    <div className="stack answer">
      {plan.schedule && !plan.schedule.current && (
        <Banner kind="caution">
          This is the schedule as it was made. What it rests on has changed since: schedule again to see the difference.
        </Banner>
      )}
      <Headline schedule={schedule} />
      <TakeAway schedule={schedule} />
      {/* Those of the open closure stand in its card. */}
      <WaitingEdits schedule={schedule} edits={edits} of={(uid) => uid !== open?.uid} />
      {schedule.closures.length > 0 && (
        <>
          <section className="card stack" aria-labelledby="calendar-title">
            <div className="card-head">
              <h2 id="calendar-title">Calendar</h2>
              <FacilityChoice
                schedule={schedule}
                value={view.facilityId}
                onChange={(facilityId) => setView({ facilityId }, { replace: true })}
              />
            </div>
            {closures.length === 0 && <p className="soft">This facility has no closure in the schedule.</p>}
            {closures.length > 0 && (narrow ? <WeekList {...shared} /> : <Calendar {...shared} edits={edits} />)}
            {!open && edits.error !== null && edits.error !== undefined && (
              <Banner kind="fault">{describeError(edits.error)}</Banner>
            )}
          </section>
          {open && (
            <ClosureCard
              plan={plan}
              schedule={schedule}
              closure={open}
              edits={edits}
              sheet={narrow}
              onClose={closeCard}
            />
          )}
          <DayByDay schedule={schedule} closures={closures} onOpen={openCard} />
          <section className="card stack" aria-labelledby="closures-title">
            <h2 id="closures-title">All {formatCount(closures.length, 'closure')}</h2>
            <ClosureTable plan={plan} schedule={schedule} closures={closures} open={open} onOpen={openCard} />
          </section>
        </>
      )}
      <Unplaced schedule={schedule} />
      <Grounds schedule={schedule} />
    </div>
  );
}

function FacilityChoice({
  schedule,
  value,
  onChange,
}: {
  schedule: Schedule;
  value: string | null;
  onChange: (facilityId: string | null) => void;
}) {
  const id = useId();
  const facilities = new Map(schedule.closures.map(({ facilityId, facilityName }) => [facilityId, facilityName]));
  if (facilities.size < 2 && value === null) return null;
  return (
    <div className="row">
      <label className="small" htmlFor={id}>
        Facility
      </label>
      <select
        id={id}
        className="select closure-facility"
        value={value ?? ''}
        onChange={({ target }) => onChange(target.value || null)}
      >
        <option value="">All {facilities.size}</option>
        {[...facilities]
          .sort(([, a], [, b]) => a.localeCompare(b))
          .map(([facilityId, name]) => (
            <option key={facilityId} value={facilityId}>
              {name}
            </option>
          ))}
      </select>
    </div>
  );
}
