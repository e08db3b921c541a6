import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import { Type } from 'typebox';
import { readProgramReport } from '../programs/stored-program.ts';
import { workAnswer } from '../programs/work-sentence.ts';
import { ProblemSchema } from '../schemas/common.ts';
import {
  ProgramSchema,
  ProgramWorkPageSchema,
  WorkFilterSchema,
  type WorkSort,
  WorkSortSchema,
} from '../schemas/program.ts';
import type { Store } from '../store/store.ts';
import { ScenarioParams } from './scenarios.ts';

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

/** What is resealed when: the program of a scenario and its works. */
export const programRoutes =
  (store: Store): FastifyPluginAsyncTypebox =>
  async (app) => {
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
        const { currency, years } = await readProgramReport(store, params.id);
        const { sort, descending, limit, after, ...filter } = query;
        const page = await store.listWorks(params.id, { filter, sort, descending, limit, after: after ?? null });
        const ground = { currency, horizonYears: years.length };
        return { ...page, items: page.items.map((work) => workAnswer(work, ground)) };
      },
    );
  };
