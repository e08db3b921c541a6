import { randomUUID } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { stat } from 'node:fs/promises';
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import { Type } from 'typebox';
import type { JobRunner } from '../jobs/job-runner.ts';
import { ProblemError } from '../problems.ts';
import { BytesSchema, EmptySchema, ProblemSchema } from '../schemas/common.ts';
import { type FileChoice, FileChoiceSchema, type Load, LoadSchema } from '../schemas/load.ts';
import type { Store } from '../store/store.ts';
import type { Uploads } from '../uploads.ts';

const LoadParams = Type.Object({ id: Type.String({ maxLength: 64 }) });
const RefusedParams = Type.Object({
  id: Type.String({ maxLength: 64 }),
  uploadId: Type.String({ maxLength: 64 }),
});
const ChoicesSchema = Type.Object(
  { choices: Type.Array(FileChoiceSchema, { minItems: 1, maxItems: 50 }) },
  { additionalProperties: false },
);
const LOADS_LISTED = 20;

/** A load: files are previewed, choices made, then written in one transaction. */
export const loadRoutes =
  (store: Store, jobs: JobRunner, uploads: Uploads): FastifyPluginAsyncTypebox =>
  async (app) => {
    const find = async (id: string): Promise<Load> => {
      const load = await store.findLoad(id);
      if (!load) throw new ProblemError('not-found', `No load ${id}. List: GET /api/loads`);
      return load;
    };
    const preview = async (load: Load, choices: FileChoice[]): Promise<Load> => {
      await refuseUnknownUploads(uploads, choices);
      const next: Load = {
        ...load,
        choices,
        state: 'previewing',
        files: [],
        result: null,
        error: null,
      };
      return start(next, 'preview', `Reading ${choices.length} file${choices.length === 1 ? '' : 's'}`);
    };
    /** One change of a load at a time: of two commits at once, the second is refused. */
    const changing = new Set<string>();
    const alone = async <T>(id: string, change: () => Promise<T>): Promise<T> => {
      if (changing.has(id)) throw new ProblemError('conflict', `Load ${id} is just being changed. Try again.`);
      changing.add(id);
      return change().finally(() => changing.delete(id));
    };
    const start = async (load: Load, kind: 'preview' | 'load', title: string): Promise<Load> => {
      // Written before the work begins: afterwards the load is the worker's to write.
      const started = { ...load, jobId: randomUUID() };
      await store.saveLoad(started);
      await jobs.start({ id: started.jobId, kind, title, loadId: load.id });
      return started;
    };

    app.get('/loads', { schema: { response: { 200: Type.Array(LoadSchema) } } }, async () =>
      store.listLoads(LOADS_LISTED),
    );
    app.post(
      '/loads',
      {
        schema: {
          body: ChoicesSchema,
          response: { 202: LoadSchema, 400: ProblemSchema },
        },
      },
      async ({ body }, reply) => reply.code(202).send(await preview(emptyLoad(), body.choices)),
    );
    app.get(
      '/loads/:id',
      {
        schema: {
          params: LoadParams,
          response: { 200: LoadSchema, 404: ProblemSchema },
        },
      },
      async ({ params }) => find(params.id),
    );
    app.put(
      '/loads/:id',
      {
        schema: {
          params: LoadParams,
          body: ChoicesSchema,
          response: { 202: LoadSchema, 400: ProblemSchema, 404: ProblemSchema, 409: ProblemSchema },
        },
      },
      async ({ params, body }, reply) => {
        const previewed = await alone(params.id, async () => {
          const load = await find(params.id);
          if (load.state === 'loading' || load.state === 'done') throw wrongState(load, 'previewed again');
          if (load.jobId && load.state === 'previewing') await jobs.cancel(load.jobId);
          return preview(load, body.choices);
        });
        return reply.code(202).send(previewed);
      },
    );
    app.post(
      '/loads/:id/commit',
      {
        schema: {
          params: LoadParams,
          response: { 202: LoadSchema, 404: ProblemSchema, 409: ProblemSchema },
        },
      },
      async ({ params }, reply) => {
        const committed = await alone(params.id, async () => {
          const load = await find(params.id);
          if (load.state !== 'ready') throw wrongState(load, 'loaded');
          const rows = load.files.reduce((sum, file) => sum + file.rowsAccepted, 0);
          return start({ ...load, state: 'loading' }, 'load', `Loading ${rows} ${rows === 1 ? 'row' : 'rows'}`);
        });
        return reply.code(202).send(committed);
      },
    );
    app.delete(
      '/loads/:id',
      {
        schema: {
          params: LoadParams,
          response: {
            204: EmptySchema,
            404: ProblemSchema,
            409: ProblemSchema,
          },
        },
      },
      async ({ params }, reply) => {
        await alone(params.id, async () => {
          const load = await find(params.id);
          if (load.state === 'loading') throw wrongState(load, 'put aside; cancel its job first');
          if (load.jobId && load.state === 'previewing') await jobs.cancel(load.jobId);
          await Promise.all(load.choices.map((choice) => uploads.remove(choice.uploadId)));
          await store.saveLoad({ ...load, state: load.state === 'done' ? 'done' : 'cancelled' });
        });
        return reply.code(204).send();
      },
    );
    app.get(
      '/loads/:id/refused/:uploadId',
      {
        schema: {
          params: RefusedParams,
          produces: ['text/csv'],
          response: { 200: BytesSchema, 404: ProblemSchema },
        },
      },
      async ({ params }, reply) => {
        const load = await find(params.id);
        const file = load.files.find((f) => f.uploadId === params.uploadId);
        const refused = file && (await readable(uploads.refusedPath(file.uploadId)));
        if (!refused) throw new ProblemError('not-found', 'No refused rows are kept for that file.');
        const name = `${file.file.replace(/\.[^.]*$/, '').replaceAll(/[^\w.-]+/g, '-')}-refused.csv`;
        return reply
          .type('text/csv; charset=utf-8')
          .header('content-disposition', `attachment; filename="${name}"`)
          .send(createReadStream(uploads.refusedPath(file.uploadId)));
      },
    );
  };

const emptyLoad = (): Load => ({
  id: randomUUID(),
  state: 'previewing',
  jobId: null,
  choices: [],
  files: [],
  result: null,
  createdAt: new Date().toISOString(),
  error: null,
});

const wrongState = (load: Load, wish: string) =>
  new ProblemError('conflict', `Load ${load.id} is ${load.state} and cannot be ${wish}. See GET /api/loads/${load.id}`);

const readable = (file: string): Promise<boolean> =>
  stat(file).then(
    () => true,
    () => false,
  );

async function refuseUnknownUploads(uploads: Uploads, choices: readonly FileChoice[]): Promise<void> {
  for (const [index, { uploadId }] of choices.entries()) {
    if (choices.findIndex((c) => c.uploadId === uploadId) !== index) {
      throw new ProblemError('invalid-request', `Upload ${uploadId} is named twice; expected each file once.`);
    }
    if (!(await uploads.find(uploadId))) {
      throw new ProblemError('invalid-request', `No upload ${uploadId}. Send the file first: POST /api/uploads?name=`);
    }
  }
}
