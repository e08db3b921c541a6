import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import { Type } from 'typebox';
import type { JobRunner } from '../jobs/job-runner.ts';
import { ProblemError } from '../problems.ts';
import { checkScenario, tellFaults } from '../programs/check-scenario.ts';
import { readPlanningBasis } from '../programs/planning-basis.ts';
import { programChanges } from '../programs/program-changes.ts';
import { readProgramReport } from '../programs/stored-program.ts';
import { sentenceTerms, workAnswer } from '../programs/work-answer.ts';
import { ProblemSchema } from '../schemas/common.ts';
import { JobSchema } from '../schemas/job.ts';
import {
  ProgramChangesSchema,
  ProgramSchema,
  ProgramWorkPageSchema,
  WorkFilterSchema,
  type WorkSort,
  WorkSortSchema,
} from '../schemas/program.ts';
import type { StoredScenario } from '../store/scenario-store.ts';
import type { Store } from '../store/store.ts';
import { foundScenario, ScenarioParams, todayIso } from './scenarios.ts';

const WorkQuerySchema = Type.Object(
  {
    ...WorkFilterSchema.properties,
    sort: Type.Unsafe<WorkSort>({ ...WorkSortSchema, default: 'year' }),
    descending: Type.Boolean({ default: false }),
    limit: Type.Integer({ minimum: 1, maximum: 1000, default: 100 }),
    after: Type.Optional(Type.String({ maxLength: 500, description: 'Token `next` of the page before' })),
  },
  { additionalProperties: false },
);

const ChangesQuerySchema = Type.Object(
  { from: Type.String({ maxLength: 64, description: 'Id of the scenario to compare with: changes from its program' }) },
  { additionalProperties: false },
);

/** What is resealed when: the program of a scenario and its works. */
export const programRoutes =
  (store: Store, jobs: JobRunner): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.post(
      '/scenarios/:id/program',
      {
        schema: {
          params: ScenarioParams,
          response: { 202: JobSchema, 404: ProblemSchema, 409: ProblemSchema, 422: ProblemSchema },
        },
      },
      async ({ params }, reply) => {
        const scenario = await foundScenario(store, params.id);
        await refuseUnsolvable(store, scenario);
        const input = { kind: 'program', scenarioId: scenario.id } as const;
        const job = { kind: 'program', title: `Program of ${scenario.name}`, loadId: null } as const;
        return reply.code(202).send(await jobs.start({ ...job, scenarioId: scenario.id, input }));
      },
    );
    app.get(
      '/scenarios/:id/program',
      { schema: { params: ScenarioParams, response: { 200: ProgramSchema, 404: ProblemSchema } } },
      async ({ params }) => readProgramReport(store, params.id),
    );
    app.get(
      '/scenarios/:id/work',
      {
        schema: {
          params: ScenarioParams,
          querystring: WorkQuerySchema,
          response: { 200: ProgramWorkPageSchema, 400: ProblemSchema, 404: ProblemSchema },
        },
      },
      async ({ params, query }) => {
        const terms = sentenceTerms(await readProgramReport(store, params.id));
        const { sort, descending, limit, after, ...filter } = query;
        const page = await store.listWorks(params.id, { filter, sort, descending, limit, after: after ?? null });
        return { ...page, items: page.items.map((work) => workAnswer(work, terms)) };
      },
    );
    app.get(
      '/scenarios/:id/changes',
      {
        schema: {
          params: ScenarioParams,
          querystring: ChangesQuerySchema,
          response: { 200: ProgramChangesSchema, 400: ProblemSchema, 404: ProblemSchema, 409: ProblemSchema },
        },
      },
      async ({ params, query }) => programChanges(store, query.from, params.id),
    );
  };

async function refuseUnsolvable(store: Store, { name, locked, inputs }: StoredScenario): Promise<void> {
  if (locked) throw new ProblemError('conflict', `${name} is locked and stays as it is. Copy it, or unlock it first.`);
  const { modelVersion, firstYear } = await readPlanningBasis(store, todayIso());
  if (modelVersion === null) throw new ProblemError('no-forecast', 'Load records, then POST /api/forecasts.');
  const faults = await checkScenario(store, inputs, firstYear);
  if (faults.length === 0) return;
  const { detail, errors } = tellFaults(faults, 'inputs');
  throw new ProblemError('not-suitable', `The records have changed since the scenario was written: ${detail}`, errors);
}
