import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import { priorTable } from '../forecasting/prior-table.ts';
import { readPriorTrial } from '../forecasting/try-priors.ts';
import type { JobRunner } from '../jobs/job-runner.ts';
import { ProblemError } from '../problems.ts';
import { ProblemSchema } from '../schemas/common.ts';
import { JobSchema } from '../schemas/job.ts';
import { PriorDraftSchema, PriorTableSchema, PriorTrialSchema } from '../schemas/priors.ts';
import type { Store } from '../store/store.ts';

/** What is believed before any data: saved with the settings, looked at and tried here. */
export const priorRoutes =
  (store: Store, jobs: JobRunner): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.get('/priors', { schema: { response: { 200: PriorTableSchema } } }, async () =>
      priorTable(store, (await store.readSettings()).priors),
    );
    app.post(
      '/priors/draft',
      { schema: { body: PriorDraftSchema, response: { 200: PriorTableSchema, 400: ProblemSchema } } },
      async ({ body }) => priorTable(store, body.priors),
    );
    app.get('/priors/trials', { schema: { response: { 200: PriorTrialSchema } } }, async () => readPriorTrial(store));
    app.post(
      '/priors/trials',
      { schema: { body: PriorDraftSchema, response: { 202: JobSchema, 400: ProblemSchema, 409: ProblemSchema } } },
      async ({ body }, reply) => {
        if ((await store.countRecords()).seals === 0)
          throw new ProblemError(
            'conflict',
            'There is no seal on record, so there is nothing to fit. Load records first.',
          );
        const input = { kind: 'prior-trial', priors: body.priors } as const;
        return reply
          .code(202)
          .send(await jobs.start({ kind: 'prior-trial', title: 'Try other beliefs', loadId: null, input }));
      },
    );
  };
