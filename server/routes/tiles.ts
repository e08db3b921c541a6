import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import { Type } from 'typebox';
import { ProblemError } from '../problems.ts';
import { BytesSchema, EmptySchema, ProblemSchema } from '../schemas/common.ts';
import { FilterSchema } from '../schemas/filter.ts';
import type { Store } from '../store/store.ts';
import { isTile, SEGMENT_ZOOM } from '../tiles/tile-grid.ts';
import type { ShownProgram, TileService } from '../tiles/tile-service.ts';

const Index = Type.Integer({ minimum: 0, maximum: 2 ** 22 });
const TileParamsSchema = Type.Object({ z: Index, x: Index, y: Index });
const TileQuerySchema = Type.Object(
  {
    ...FilterSchema.properties,
    scenario: Type.Optional(
      Type.String({
        maxLength: 64,
        description:
          "Id of a scenario: features get `workByYear`, one character for each year of its program's horizon, as in `p`",
      }),
    ),
    v: Type.Optional(
      Type.String({
        maxLength: 100,
        description: 'Ignored: lets a page ask anew',
      }),
    ),
  },
  { additionalProperties: false },
);

/** Mapbox Vector Tiles 2.1 of the network, cached, with entity tags. */
export const tileRoutes =
  (store: Store, tiles: TileService): FastifyPluginAsyncTypebox =>
  async (app) => {
    app.get(
      '/tiles/:z/:x/:y.mvt',
      {
        compress: false,
        schema: {
          params: TileParamsSchema,
          querystring: TileQuerySchema,
          produces: ['application/vnd.mapbox-vector-tile'],
          response: {
            200: BytesSchema,
            204: EmptySchema,
            304: EmptySchema,
            400: ProblemSchema,
            404: ProblemSchema,
          },
        },
      },
      async ({ params, query, headers }, reply) => {
        if (!isTile(params))
          throw new ProblemError('not-found', `No tile ${params.z}/${params.x}/${params.y} in the grid.`);
        const { v: _asked, scenario, ...filter } = query;
        const tile = await tiles.tile(params, filter, await shownProgram(store, scenario));
        reply.header('etag', tile.etag).header('cache-control', 'no-cache').header('vary', 'accept-encoding');
        if (alreadyHas(headers['if-none-match'], tile.etag)) return reply.code(304).send();
        if (tile.body.length === 0) return reply.code(204).send();
        return reply.type('application/vnd.mapbox-vector-tile').header('content-encoding', 'gzip').send(tile.body);
      },
    );
    app.get(
      '/tiles.json',
      {
        schema: {
          response: {
            200: Type.Unsafe<object>({
              type: 'object',
              additionalProperties: true,
            }),
          },
        },
      },
      async (request) => ({
        tilejson: '3.0.0',
        name: 'Sealed joints',
        tiles: [`http://${request.headers.host}/api/tiles/{z}/{x}/{y}.mvt`],
        minzoom: 0,
        maxzoom: 16,
        bounds: (await store.networkBounds()) ?? undefined,
        vector_layers: [
          { id: 'runs', minzoom: 0, maxzoom: SEGMENT_ZOOM - 1, fields: {} },
          { id: 'segments', minzoom: SEGMENT_ZOOM, maxzoom: 16, fields: {} },
        ],
      }),
    );
  };

async function shownProgram(store: Store, scenarioId: string | undefined): Promise<ShownProgram | null> {
  if (scenarioId === undefined) return null;
  const version = await store.programVersion(scenarioId);
  if (version === null && !(await store.findScenario(scenarioId)))
    throw new ProblemError('not-found', `No scenario ${scenarioId}. List: GET /api/scenarios`);
  return { scenarioId, version };
}

/** A list of entity tags, compared weakly (RFC 9110, section 13.1.2): caches on the way may have weakened ours. */
const alreadyHas = (tags: string | undefined, etag: string): boolean =>
  (tags ?? '').split(',').some((tag) => tag.trim() === '*' || tag.trim().replace(/^W\//, '') === etag);
