import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import { Type } from 'typebox';
import { segmentDrivers } from '../forecasting/segment-drivers.ts';
import { whatIf } from '../forecasting/what-if.ts';
import { ProblemSchema } from '../schemas/common.ts';
import { DriversSchema, WhatIfRequestSchema, WhatIfSchema } from '../schemas/drivers.ts';
import { SegmentSchema } from '../schemas/segment.ts';
import type { Store } from '../store/store.ts';

const SegmentParams = Type.Pick(SegmentSchema, ['id']);

/** Why a segment's forecast is what it is, and what another seal would do. */
export const driverRoutes =
  (store: Store): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.get(
      '/segments/:id/drivers',
      {
        schema: { params: SegmentParams, response: { 200: DriversSchema, 404: ProblemSchema, 409: ProblemSchema } },
      },
      async ({ params }) => segmentDrivers(store, params.id),
    );
    app.post(
      '/segments/:id/what-if',
      {
        schema: {
          params: SegmentParams,
          body: WhatIfRequestSchema,
          response: {
            200: WhatIfSchema,
            400: ProblemSchema,
            404: ProblemSchema,
            409: ProblemSchema,
            422: ProblemSchema,
          },
        },
      },
      async ({ params, body }) => whatIf(store, params.id, body),
    );
  };
