import { Compile } from 'typebox/compile';
import { ProblemError } from '../problems.ts';
import { type Program, ProgramSchema } from '../schemas/program.ts';
import type { Store } from '../store/store.ts';

const programSchema = Compile(ProgramSchema);

/** What is stored of a program. @throws ProblemError when there is no such scenario, or no program of it yet */
export async function requireProgram(store: Store, scenarioId: string): Promise<unknown> {
  const program = await store.readProgram(scenarioId);
  if (program) return program.report;
  const scenario = await store.findScenario(scenarioId);
  if (!scenario) throw new ProblemError('not-found', `No scenario ${scenarioId}. List: GET /api/scenarios`);
  throw new ProblemError(
    'no-program',
    `No program of ${scenario.name} yet. POST /api/scenarios/${scenarioId}/program and wait for its job.`,
  );
}

/** @throws ProblemError as `requireProgram`, or for a program that an older version kept in another form */
export async function readProgramReport(store: Store, scenarioId: string): Promise<Program> {
  const report = await requireProgram(store, scenarioId);
  if (programSchema.Check(report)) return report;
  throw new ProblemError(
    'no-program',
    `The program was made by an older version, which told other things. POST /api/scenarios/${scenarioId}/program makes it again.`,
  );
}
