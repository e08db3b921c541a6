import { PassThrough } from 'node:stream';
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import { Type } from 'typebox';
import type { JobRunner } from '../jobs/job-runner.ts';
import { ProblemError } from '../problems.ts';
import { BytesSchema, ProblemSchema } from '../schemas/common.ts';
import { type Job, JobSchema } from '../schemas/job.ts';

const JobParams = Type.Object({ id: Type.String({ maxLength: 64 }) });
const JOBS_LISTED = 20;
/** Some clients take a stream for dead that says nothing for minutes, as a long fit does. */
const STILL_HERE_MS = 20_000;

/** Long work: what runs, how far it is, and a way to stop it. */
export const jobRoutes =
  (jobs: JobRunner): FastifyPluginAsyncTypebox =>
  async (app) => {
    const found = async (id: string): Promise<Job> => {
      const job = await jobs.find(id);
      if (!job) throw new ProblemError('not-found', `No job ${id}. List: GET /api/jobs`);
      return job;
    };
    app.get('/jobs', { schema: { response: { 200: Type.Array(JobSchema) } } }, async () => jobs.list(JOBS_LISTED));
    app.get(
      '/jobs/:id',
      {
        schema: {
          params: JobParams,
          response: { 200: JobSchema, 404: ProblemSchema },
        },
      },
      async ({ params }) => found(params.id),
    );
    app.post(
      '/jobs/:id/cancel',
      {
        schema: {
          params: JobParams,
          response: { 200: JobSchema, 404: ProblemSchema },
        },
      },
      async ({ params }) => {
        await found(params.id);
        return jobs.cancel(params.id);
      },
    );
    app.get(
      '/jobs/:id/events',
      {
        compress: false,
        schema: {
          params: JobParams,
          produces: ['text/event-stream'],
          response: { 200: BytesSchema, 404: ProblemSchema },
        },
      },
      async ({ params }, reply) => {
        await found(params.id);
        const events = new PassThrough();
        const send = (job: Job) => {
          if (events.writableEnded) return;
          events.write(`event: job\ndata: ${JSON.stringify(job)}\n\n`);
          if (job.finishedAt) events.end();
        };
        const stop = jobs.watch(params.id, send);
        const stillHere = setInterval(() => {
          if (!events.writableEnded) events.write(': still here\n\n');
        }, STILL_HERE_MS).unref();
        events.once('close', () => {
          clearInterval(stillHere);
          stop();
        });
        reply.raw.once('close', () => events.destroy());
        send(await found(params.id)); // read after watching, so that an end in between is not missed
        return reply.type('text/event-stream').header('cache-control', 'no-store').send(events);
      },
    );
  };
