import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import { Type } from 'typebox';
import type { JobRunner } from '../jobs/job-runner.ts';
import { ProblemError } from '../problems.ts';
import { ProblemSchema } from '../schemas/common.ts';
import { JobSchema } from '../schemas/job.ts';
import { ModelReportSchema } from '../schemas/model.ts';
import { FamilySchema } from '../schemas/words.ts';
import type { Store } from '../store/store.ts';

const ForecastBodySchema = Type.Object({ family: Type.Optional(FamilySchema) }, { additionalProperties: false });

/** The service-life model: read it, or fit it again on what is stored now. */
export const modelRoutes =
  (store: Store, jobs: JobRunner): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.get('/model', { schema: { response: { 200: ModelReportSchema, 404: ProblemSchema } } }, async () => {
      const report = await store.readModelReport();
      if (!report) throw new ProblemError('no-forecast', 'Load records, then POST /api/forecasts.');
      return report as never; // the response schema decides what leaves
    });
    app.post(
      '/forecasts',
      {
        schema: {
          body: ForecastBodySchema,
          response: { 202: JobSchema, 400: ProblemSchema },
        },
      },
      async ({ body }, reply) => {
        const settings = await store.readSettings();
        if (body.family && body.family !== settings.family)
          await store.writeSettings({ ...settings, family: body.family });
        return reply.code(202).send(
          await jobs.start({
            kind: 'forecast',
            title: 'Fit and forecast',
            loadId: null,
          }),
        );
      },
    );
  };
