import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import { Type } from 'typebox';
import { Nullable } from '../schemas/common.ts';
import { RECORD_KINDS } from '../schemas/words.ts';
import type { Store } from '../store/store.ts';

export const APP_VERSION = '0.1.0';

const VersionSchema = Type.Object({
  app: Type.String(),
  dataVersion: Type.Integer({
    description: 'Grows with each change of records',
  }),
  modelVersion: Nullable(Type.Integer()),
  viewVersion: Type.String({
    description: 'Changes whenever a map tile may have changed',
  }),
});
const CountsSchema = Type.Object(
  Object.fromEntries(RECORD_KINDS.map((kind) => [kind, Type.Integer()])) as Record<
    (typeof RECORD_KINDS)[number],
    ReturnType<typeof Type.Integer>
  >,
);

/** What is running, and what it holds. */
export const versionRoutes =
  (store: Store): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.get('/version', { schema: { response: { 200: VersionSchema } } }, async () => ({
      app: APP_VERSION,
      dataVersion: await store.dataVersion(),
      modelVersion: await store.modelVersion(),
      viewVersion: await store.viewVersion(),
    }));
    app.get('/records', { schema: { response: { 200: CountsSchema } } }, async () => store.countRecords());
  };
