import { Readable } from 'node:stream';
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import { Type } from 'typebox';
import { readEvidence, startEvidence } from '../evidence/stored-evidence.ts';
import { evidenceCsv } from '../exports/evidence-csv.ts';
import type { JobRunner } from '../jobs/job-runner.ts';
import { ProblemError } from '../problems.ts';
import { BytesSchema, ProblemSchema } from '../schemas/common.ts';
import { EvidenceExportSchema, type EvidenceReport, EvidenceReportSchema } from '../schemas/evidence.ts';
import { JobSchema } from '../schemas/job.ts';
import type { Store } from '../store/store.ts';

const VersionQuerySchema = Type.Object(
  {
    modelVersion: Type.Optional(
      Type.Integer({
        minimum: 1,
        description: 'Of this version; without it, of the model in use, else of the newest that has any',
      }),
    ),
  },
  { additionalProperties: false },
);
const ExportParams = Type.Object({ part: EvidenceExportSchema });

/** How far the model can be trusted: the report, its making, and its tables as files. */
export const evidenceRoutes =
  (store: Store, jobs: JobRunner): FastifyPluginAsyncTypebox =>
  async (app) => {
    const found = async (modelVersion?: number): Promise<EvidenceReport> => {
      const report = await readEvidence(store, modelVersion);
      if (!report)
        throw new ProblemError('no-evidence', 'Make a forecast, then POST /api/evidence and wait for its job.');
      return report;
    };
    app.get(
      '/evidence',
      {
        schema: {
          querystring: VersionQuerySchema,
          response: { 200: EvidenceReportSchema, 400: ProblemSchema, 404: ProblemSchema },
        },
      },
      async ({ query }) => found(query.modelVersion),
    );
    app.post('/evidence', { schema: { response: { 202: JobSchema, 404: ProblemSchema } } }, async (_request, reply) => {
      if ((await store.modelVersion()) === null)
        throw new ProblemError('no-forecast', 'Load records, then POST /api/forecasts.');
      return reply.code(202).send(await startEvidence(jobs));
    });
    app.get(
      '/export/evidence/:part.csv',
      {
        schema: {
          params: ExportParams,
          querystring: VersionQuerySchema,
          produces: ['text/csv'],
          response: { 200: BytesSchema, 400: ProblemSchema, 404: ProblemSchema },
        },
      },
      async ({ params: { part }, query }, reply) =>
        reply
          .type('text/csv; charset=utf-8')
          .header('content-disposition', `attachment; filename="${part}.csv"`)
          .send(Readable.from([evidenceCsv(await found(query.modelVersion), part)])),
    );
  };
