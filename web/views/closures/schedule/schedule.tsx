import { useQuery } from '@tanstack/react-query';
import type { ClosurePlan } from '../../../../server/schemas/closures.ts';
import { Answered, Empty } from '../../shared/states.tsx';
import { scheduleQuery } from '../closure-queries.ts';

/** What the schedule says. */
export function SchedulePart({ plan }: { plan: ClosurePlan }) {
  const query = useQuery({ ...scheduleQuery(plan.id), enabled: plan.schedule !== null });
  return (
    <Answered query={plan.schedule === null ? { ...query, data: null } : query} what="the schedule">
      {(schedule) =>
        schedule ? (
          <section className="card stack">
            <p className="answer-sentence">{schedule.sentence}</p>
          </section>
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
