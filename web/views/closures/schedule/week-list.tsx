import type { Closure, Schedule } from '../../../../server/schemas/closures.ts';
import { byWeek } from '../../../state/closure-calendar.ts';
import { closedName, finishWords, formatClocks, formatWeekday, zoneName } from '../../../state/closure-words.ts';
import { formatCount, formatDay, formatLength } from '../../../state/format.ts';
import { useUnits } from '../../shared/preferences.ts';
import { barId } from './calendar-row.tsx';
import { ClosureBadges } from './closure-badges.tsx';

interface Props {
  readonly schedule: Schedule;
  readonly closures: readonly Closure[];
  readonly open: Closure | null;
  readonly onOpen: (closure: Closure) => void;
}

/** The calendar of a narrow screen: a list for each week. */
export function WeekList({ schedule, closures, open, onOpen }: Props) {
  const units = useUnits();
  return (
    <div className="stack week-list">
      {byWeek(closures).map(({ week, closures: own }) => (
        <section key={week} aria-labelledby={`week-${week}`}>
          <h3 id={`week-${week}`}>
            Week of {formatDay(week)} <span className="small soft">{formatCount(own.length, 'closure')}</span>
          </h3>
          <ul>
            {own.map((closure) => (
              <li key={closure.uid}>
                <button
                  type="button"
                  id={barId(closure.uid)}
                  className={`week-closure ${closure.state}`}
                  aria-expanded={open?.uid === closure.uid}
                  onClick={() => onOpen(closure)}
                >
                  <strong>
                    {formatWeekday(closure.startsAt)}, {formatClocks(closure)}{' '}
                    {zoneName(closure.endsAt, schedule.timeZone)}
                  </strong>
                  <span>
                    {closedName(closure)}, {formatLength(closure.lengthM, units)}
                  </span>
                  {closure.state === 'planned' && closure.finishChance !== null && (
                    <span className="soft">Chance to finish {finishWords(closure)}</span>
                  )}
                  <span className="closure-badges">
                    <ClosureBadges closure={closure} />
                  </span>
                </button>
              </li>
            ))}
          </ul>
        </section>
      ))}
    </div>
  );
}
