import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import { Type } from 'typebox';
import { segmentCard } from '../forecasting/segment-card.ts';
import { ProblemError } from '../problems.ts';
import { SegmentCardSchema } from '../schemas/card.ts';
import { ProblemSchema } from '../schemas/common.ts';
import { FilterSchema, type SortField, SortFieldSchema } from '../schemas/filter.ts';
import { SegmentPageSchema, SummarySchema } from '../schemas/forecast.ts';
import { SegmentSchema } from '../schemas/segment.ts';
import type { Store } from '../store/store.ts';

const ListQuerySchema = Type.Object(
  {
    ...FilterSchema.properties,
    sort: Type.Unsafe<SortField>({
      ...SortFieldSchema,
      default: 'id',
    }),
    descending: Type.Boolean({ default: false }),
    limit: Type.Integer({ minimum: 1, maximum: 1000, default: 100 }),
    after: Type.Optional(
      Type.String({
        maxLength: 500,
        description: 'Token `next` of the page before',
      }),
    ),
  },
  { additionalProperties: false },
);

export const segmentRoutes =
  (store: Store): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.get(
      '/segments',
      {
        schema: {
          querystring: ListQuerySchema,
          response: { 200: SegmentPageSchema, 400: ProblemSchema },
        },
      },
      async ({ query }) => {
        const { sort, descending, limit, after, ...filter } = query;
        return store.listSegments({
          filter,
          sort,
          descending,
          limit,
          after: after ?? null,
        });
      },
    );
    app.get(
      '/summary',
      {
        schema: {
          querystring: FilterSchema,
          response: { 200: SummarySchema, 400: ProblemSchema },
        },
      },
      async ({ query }) => store.summarise(query),
    );
    app.get(
      '/segments/:id',
      {
        schema: {
          params: Type.Pick(SegmentSchema, ['id']),
          response: { 200: SegmentCardSchema, 404: ProblemSchema },
        },
      },
      async ({ params }) => {
        const card = await segmentCard(store, params.id);
        if (!card) throw new ProblemError('not-found', `No segment ${params.id}. List: GET /api/segments`);
        return card;
      },
    );
  };
