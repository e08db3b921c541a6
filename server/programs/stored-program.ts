import { Compile } from 'typebox/compile';
import { ProblemError } from '../problems.ts';
import { type Program, ProgramSchema } from '../schemas/program.ts';
import type { Store } from '../store/store.ts';

const programSchema = Compile(ProgramSchema);

/** @throws ProblemError when there is no such scenario, no program of it yet, or one that an older version made */
export async function readProgramReport(store: Store, scenarioId: string): Promise<Program> {
  const program = await store.readProgram(scenarioId);
  if (program) {
    const { report } = program;
    if (programSchema.Check(report)) return report;
    throw new ProblemError(
      'no-program',
      `The program was made by an older version, which told other things. POST /api/scenarios/${scenarioId}/program makes it again.`,
    );
  }
  const scenario = await store.findScenario(scenarioId);
  if (!scenario) throw new ProblemError('not-found', `No scenario ${scenarioId}. List: GET /api/scenarios`);
  throw new ProblemError(
    'no-program',
    `No program of ${scenario.name} yet. POST /api/scenarios/${scenarioId}/program and wait for its job.`,
  );
}
