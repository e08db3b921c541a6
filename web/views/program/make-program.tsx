import { useQuery } from '@tanstack/react-query';
import type { ReactNode } from 'react';
import type { Scenario } from '../../../server/schemas/scenario.ts';
import { startProgram } from '../../api/scenarios.ts';
import { isProgramJobOf } from '../../state/program-job.ts';
import { scenarioState } from '../../state/program-words.ts';
import { StartJob } from '../data/start-job.tsx';
import { versionQuery } from '../shared/queries.ts';
import { useDraftWaiting } from './use-draft.ts';

/** Starts the making of a scenario's program; then how far it is, with the bound and the best as they move. */
export function MakeProgram({ scenario, children }: { scenario: Scenario; children: ReactNode }) {
  const { data: version } = useQuery(versionQuery);
  const { state } = scenarioState(scenario, version);
  return (
    <StartJob
      id={scenario.id}
      start={startProgram}
      isJobOf={isProgramJobOf}
      label={state === 'none' ? 'Make the program' : 'Make it again'}
      current={state === 'current'}
      locked={scenario.locked}
      unsaved={useDraftWaiting(scenario)}
      note={
        scenario.locked && (
          <span className="small soft">Locked: its program stays as it is. Duplicate it to try something else.</span>
        )
      }
    >
      {children}
    </StartJob>
  );
}
