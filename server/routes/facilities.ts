import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import { Type } from 'typebox';
import { Nullable } from '../schemas/common.ts';
import { FacilityPlaceSchema, FacilitySchema } from '../schemas/facility.ts';
import type { Store } from '../store/store.ts';

const BoundsSchema = Nullable(
  Type.Array(Type.Number(), {
    minItems: 4,
    maxItems: 4,
    description: 'west, south, east, north in degrees',
  }),
);

export const facilityRoutes =
  (store: Store): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.get('/facilities', { schema: { response: { 200: Type.Array(FacilitySchema) } } }, async () =>
      store.listFacilities(),
    );
    app.get(
      '/facilities/places',
      {
        schema: {
          response: { 200: Type.Array(FacilityPlaceSchema, { description: 'Those with segments on record' }) },
        },
      },
      async () => {
        const places = await store.closures.readFacilityPlaces();
        return [...places].map(([facilityId, place]) => ({ facilityId, ...place }));
      },
    );
    app.get('/bounds', { schema: { response: { 200: BoundsSchema } } }, async () => {
      const bounds = await store.networkBounds();
      return bounds && [...bounds];
    });
  };
