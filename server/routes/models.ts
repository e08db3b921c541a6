import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import { Type } from 'typebox';
import { readComparison } from '../forecasting/compare-models.ts';
import { modelVersions } from '../forecasting/model-versions.ts';
import type { JobRunner } from '../jobs/job-runner.ts';
import { ProblemError } from '../problems.ts';
import { ProblemSchema } from '../schemas/common.ts';
import { JobSchema } from '../schemas/job.ts';
import { ComparisonRequestSchema, ModelComparisonSchema, ModelVersionsSchema } from '../schemas/models.ts';
import type { Store } from '../store/store.ts';

const VersionParams = Type.Object({ version: Type.Integer({ minimum: 1, maximum: 1_000_000_000 }) });
/** More would keep the one worker busy for long. */
const MOST_COMPARED = 60;

/** All models that were fitted, a way back to any of them, and models side by side. */
export const modelsRoutes =
  (store: Store, jobs: JobRunner): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.get('/models', { schema: { response: { 200: ModelVersionsSchema } } }, async () => modelVersions(store));
    app.post(
      '/models/:version/adopt',
      {
        schema: { params: VersionParams, response: { 202: JobSchema, 400: ProblemSchema, 404: ProblemSchema } },
      },
      async ({ params: { version } }, reply) => {
        if ((await store.readModelDraws(version)) === null)
          throw new ProblemError('not-found', `No model version ${version}. List: GET /api/models`);
        const input = { kind: 'adopt', version } as const;
        return reply
          .code(202)
          .send(await jobs.start({ kind: 'adopt', title: `Adopt model version ${version}`, loadId: null, input }));
      },
    );
    app.get('/comparisons', { schema: { response: { 200: ModelComparisonSchema } } }, async () =>
      readComparison(store),
    );
    app.post(
      '/comparisons',
      { schema: { body: ComparisonRequestSchema, response: { 202: JobSchema, 400: ProblemSchema } } },
      async ({ body }, reply) => {
        const { families = [], thresholds = [], leaveOut = [] } = body;
        const count = [families, thresholds, leaveOut].reduce((product, list) => product * Math.max(1, list.length), 1);
        if (count > MOST_COMPARED)
          throw new ProblemError(
            'invalid-request',
            `${count} models are asked for; at most ${MOST_COMPARED} at a time. Choose fewer of each.`,
          );
        const input = { kind: 'comparison', request: body } as const;
        return reply
          .code(202)
          .send(await jobs.start({ kind: 'comparison', title: 'Compare models', loadId: null, input }));
      },
    );
  };
