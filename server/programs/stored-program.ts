import { ProblemError } from '../problems.ts';
import type { Program } from '../schemas/program.ts';
import type { Store } from '../store/store.ts';

/** @throws ProblemError when there is no such scenario, or no program of it yet */
export async function readProgramReport(store: Store, scenarioId: string): Promise<Program> {
  const program = await store.readProgram(scenarioId);
  if (program) return program.report as Program;
  const scenario = await store.findScenario(scenarioId);
  if (!scenario) throw new ProblemError('not-found', `No scenario ${scenarioId}. List: GET /api/scenarios`);
  throw new ProblemError(
    'no-program',
    `No program of ${scenario.name} yet. POST /api/scenarios/${scenarioId}/program and wait for its job.`,
  );
}
