import { useState } from 'react';
import type { Closure, ClosurePlan, Schedule } from '../../../../server/schemas/closures.ts';
import { packetUrl, startSchedule } from '../../../api/closures.ts';
import { describeError } from '../../../api/request.ts';
import { isScheduleJobOf } from '../../../state/closure-open.ts';
import { activeJobs } from '../../../state/jobs.ts';
import { useJobs, useStartJob } from '../../data/use-jobs.ts';
import { useUnits } from '../../shared/preferences.ts';
import { Banner } from '../../shared/states.tsx';
import { MoveDialog } from './move-dialog.tsx';
import { OutcomeForm } from './outcome-form.tsx';
import type { ClosureEdits } from './use-closure-edits.ts';

interface Props {
  readonly plan: ClosurePlan;
  readonly schedule: Schedule;
  readonly closure: Closure;
  readonly edits: ClosureEdits;
}

/** What can be done with a closure by hand. */
export function ClosureActions({ plan, schedule, closure, edits }: Props) {
  const [asked, ask] = useState<'move' | 'done' | 'lost' | null>(null);
  const units = useUnits();
  const running = activeJobs(useJobs().filter((job) => isScheduleJobOf(job, plan.id))).length > 0;
  const start = useStartJob(startSchedule);
  const planned = closure.state === 'planned';
  const close = () => ask(null);
  return (
    <div className="stack closure-actions">
      <div className="row">
        {planned && (
          <>
            <button type="button" className="button" onClick={() => ask('move')}>
              Move…
            </button>
            <button
              type="button"
              className="button"
              disabled={edits.pending}
              onClick={() => edits.make(closure, { locked: !closure.locked })}
            >
              {closure.locked ? 'Unlock' : 'Lock'}
            </button>
            <button type="button" className="button" onClick={() => ask('done')}>
              Mark done…
            </button>
            <button type="button" className="button" onClick={() => ask('lost')}>
              Lost to weather…
            </button>
          </>
        )}
        {!planned && (
          <button
            type="button"
            className="button"
            disabled={edits.pending}
            onClick={() => edits.make(closure, { state: 'planned', doneM: null })}
          >
            Back to planned
          </button>
        )}
        <a className="button" href={packetUrl(plan.id, closure.id, units)} download>
          Packet (PDF)
        </a>
        <button
          type="button"
          className="button"
          disabled={running || start.isPending}
          onClick={() => start.mutate(plan.id)}
        >
          {running ? 'Scheduling…' : 'Schedule the rest again'}
        </button>
      </div>
      {planned && closure.byHand && !closure.locked && (
        <p className="small soft">Lock it, or the next schedule may move it again.</p>
      )}
      {(asked === 'done' || asked === 'lost') && (
        <OutcomeForm key={asked} closure={closure} state={asked} edits={edits} onClose={close} />
      )}
      {asked === 'move' && (
        <MoveDialog
          schedule={schedule}
          closure={closure}
          onClose={close}
          onMove={(startsAt) => {
            close();
            edits.make(closure, { startsAt });
          }}
        />
      )}
      {start.isError && <Banner kind="fault">{describeError(start.error)}</Banner>}
    </div>
  );
}
