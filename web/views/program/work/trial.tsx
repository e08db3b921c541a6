import { useMutation, useQuery } from '@tanstack/react-query';
import { useEffect, useRef } from 'react';
import type { Program } from '../../../../server/schemas/program.ts';
import type { Scenario } from '../../../../server/schemas/scenario.ts';
import { describeError } from '../../../api/request.ts';
import { deleteScenario, editScenario, fetchProgramChanges, startProgram } from '../../../api/scenarios.ts';
import { activeJobs, describeJob } from '../../../state/jobs.ts';
import { isProgramJobOf } from '../../../state/program-job.ts';
import { handMadeSentence } from '../../../state/program-words.ts';
import { JobLine } from '../../data/job-line.tsx';
import { useJobs, useStartJob } from '../../data/use-jobs.ts';
import { Answered, Banner } from '../../shared/states.tsx';
import { Changes } from '../compare/changes.tsx';
import { useProgram } from '../use-program.ts';
import { useProgramView } from '../use-program-view.ts';
import { useScenarioNews } from '../use-scenarios.ts';

interface Props {
  readonly scenario: Scenario;
  readonly trial: Scenario;
  readonly program: Program;
  /** Takes the choices out of this tab, once they are kept. */ readonly forget: () => void;
}

/** The program solved around choices by hand: what they cost, and whether they are kept. */
export function Trial({ scenario, trial, program, forget }: Props) {
  const jobs = useJobs().filter((job) => isProgramJobOf(job, trial.id));
  const [running] = activeJobs(jobs);
  const [last] = jobs;
  const tried = useProgram(trial);
  const heading = useRef<HTMLHeadingElement>(null);
  useEffect(() => heading.current?.focus(), []);
  const ready = !running && tried.data && tried.data.scenarioRevision === trial.revision;
  return (
    <section className="card stack answer-head" aria-labelledby="trial-title">
      <h2 id="trial-title" tabIndex={-1} ref={heading}>
        {running ? 'Solving around your choices' : 'Your choices, solved'}
      </h2>
      {running && <JobLine job={running} />}
      {!running && last && last.state !== 'done' && <Banner kind="caution">{describeJob(last)}</Banner>}
      {ready && tried.data && <Outcome {...{ scenario, trial, program, forget }} tried={tried.data} />}
      {!running && !ready && <Decide {...{ scenario, trial, forget }} keepable={false} />}
    </section>
  );
}

function Outcome({ scenario, trial, program, forget, tried }: Props & { tried: Program }) {
  const changes = useQuery({
    queryKey: ['program-changes', program.scenarioId, trial.id],
    queryFn: ({ signal }) => fetchProgramChanges(program.scenarioId, trial.id, signal),
  });
  const infeasible = tried.status === 'infeasible';
  return (
    <>
      <p className="answer-sentence">{infeasible ? tried.sentence : handMadeSentence(tried)}</p>
      {infeasible && (
        <ul className="notes">
          {tried.conflicts.map(({ sentence }) => (
            <li key={sentence}>{sentence}</li>
          ))}
        </ul>
      )}
      <Decide {...{ scenario, trial, forget }} keepable={!infeasible} />
      {!infeasible && (
        <Answered query={changes} what="what changed">
          {(data) => <Changes changes={data} currency={program.currency} />}
        </Answered>
      )}
    </>
  );
}

/** Keeps the choices in the scenario or beside it, or drops them. */
function Decide({ scenario, trial, forget, keepable }: Omit<Props, 'program'> & { keepable: boolean }) {
  const [, setView] = useProgramView();
  const tell = useScenarioNews();
  const start = useStartJob(startProgram);
  const end = () => setView({ trialId: null }, { replace: true });
  const keep = useMutation({
    mutationFn: () => editScenario(scenario, { inputs: { ...scenario.inputs, chosen: trial.inputs.chosen } }),
    onSuccess: async (kept) => {
      forget();
      tell(kept);
      end();
      await start.mutateAsync(kept.id);
      drop.mutate();
    },
  });
  const drop = useMutation({
    mutationFn: () => deleteScenario(trial),
    onSuccess: () => {
      tell({ deletedId: trial.id });
      end();
    },
  });
  const busy = keep.isPending || drop.isPending;
  return (
    <>
      <div className="row">
        {keepable && (
          <>
            <button
              type="button"
              className="button primary"
              disabled={busy || scenario.locked}
              onClick={() => keep.mutate()}
            >
              Keep them in {scenario.name}
            </button>
            <button
              type="button"
              className="button"
              disabled={busy}
              onClick={() => {
                forget();
                setView({ scenarioId: trial.id, part: 'answer', trialId: null });
              }}
            >
              Keep as a scenario of its own
            </button>
          </>
        )}
        <button type="button" className="button" disabled={busy} onClick={() => drop.mutate()}>
          Drop this try
        </button>
        {scenario.locked && <span className="small soft">{scenario.name} is locked, so it stays as it is.</span>}
      </div>
      {(keep.error ?? drop.error) !== null && <Banner kind="fault">{describeError(keep.error ?? drop.error)}</Banner>}
    </>
  );
}
