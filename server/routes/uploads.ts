import type { Readable } from 'node:stream';
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import { Type } from 'typebox';
import { ProblemError } from '../problems.ts';
import { ProblemSchema } from '../schemas/common.ts';
import { UploadSchema } from '../schemas/load.ts';
import type { Uploads } from '../uploads.ts';

const UploadQuerySchema = Type.Object(
  {
    name: Type.String({
      minLength: 1,
      maxLength: 255,
      description: 'The file name, shown in refusals',
    }),
  },
  { additionalProperties: false },
);

/** Files arrive as raw bytes and go to disk as they come: no file is held in memory. */
export const uploadRoutes =
  (uploads: Uploads): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.removeAllContentTypeParsers(); // no parser may gather a body of any size in memory
    app.addContentTypeParser('application/octet-stream', (_request, payload, done) => done(null, payload));
    app.post(
      '/uploads',
      {
        bodyLimit: Number.MAX_SAFE_INTEGER, // the size is counted as it comes, by Uploads
        schema: {
          querystring: UploadQuerySchema,
          consumes: ['application/octet-stream'],
          response: {
            201: UploadSchema,
            400: ProblemSchema,
            413: ProblemSchema,
            415: ProblemSchema,
          },
        },
      },
      async ({ query, body, headers }, reply) => {
        if (headers['content-type']?.split(';')[0] !== 'application/octet-stream') {
          throw new ProblemError('wrong-media-type', 'Expected the bytes of one file as application/octet-stream.');
        }
        return reply.code(201).send(await uploads.receive(query.name, body as Readable));
      },
    );
  };
