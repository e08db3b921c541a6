import { Readable } from 'node:stream';
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import { Type } from 'typebox';
import { budgetCsv } from '../exports/budget-csv.ts';
import { modelCurvesCsv } from '../exports/model-curves-csv.ts';
import { segmentsCsv, segmentsGeoJson } from '../exports/segments.ts';
import { ProblemError } from '../problems.ts';
import type { Budget } from '../schemas/budget.ts';
import { BytesSchema, ProblemSchema } from '../schemas/common.ts';
import { FilterSchema } from '../schemas/filter.ts';
import type { ModelReport } from '../schemas/model.ts';
import { oneOf } from '../schemas/words.ts';
import type { Store } from '../store/store.ts';

const UnitsSchema = Type.Optional(
  Type.Unsafe<'si' | 'us'>({
    ...oneOf(['si', 'us'], 'Units of the columns; each name ends in its unit'),
    default: 'si',
  }),
);
const SegmentQuerySchema = Type.Object(
  { ...FilterSchema.properties, units: UnitsSchema },
  { additionalProperties: false },
);
const UnitsQuerySchema = Type.Object({ units: UnitsSchema }, { additionalProperties: false });
const answers = { 200: BytesSchema, 400: ProblemSchema, 404: ProblemSchema };

/** What a screen shows, as a file; written as it is read, so that size does not matter. */
export const exportRoutes =
  (store: Store): FastifyPluginAsyncTypebox =>
  async (app) => {
    const file = (name: string) => ({ 'content-disposition': `attachment; filename="${name}"` });
    app.get(
      '/export/segments.csv',
      { schema: { querystring: SegmentQuerySchema, produces: ['text/csv'], response: answers } },
      async ({ query: { units = 'si', ...filter } }, reply) =>
        reply
          .type('text/csv; charset=utf-8')
          .headers(file('joints.csv'))
          .send(Readable.from(segmentsCsv(store, filter, units))),
    );
    app.get(
      '/export/segments.geojson',
      { schema: { querystring: SegmentQuerySchema, produces: ['application/geo+json'], response: answers } },
      async ({ query: { units: _always, ...filter } }, reply) =>
        reply
          .type('application/geo+json')
          .headers(file('joints.geojson'))
          .send(Readable.from(segmentsGeoJson(store, filter))),
    );
    app.get(
      '/export/budget.csv',
      { schema: { querystring: UnitsQuerySchema, produces: ['text/csv'], response: answers } },
      async ({ query: { units = 'si' } }, reply) => {
        const budget = found(await store.readBudget()) as Budget;
        return reply
          .type('text/csv; charset=utf-8')
          .headers(file('budget.csv'))
          .send(Readable.from([budgetCsv(budget, units)]));
      },
    );
    app.get(
      '/export/model-curves.csv',
      { schema: { produces: ['text/csv'], response: answers } },
      async (_request, reply) => {
        const report = found(await store.readModelReport()) as ModelReport;
        return reply
          .type('text/csv; charset=utf-8')
          .headers(file('life-curves.csv'))
          .send(Readable.from([modelCurvesCsv(report)]));
      },
    );
  };

function found<T>(value: T | null): T {
  if (value === null) throw new ProblemError('no-forecast', 'Load records, then POST /api/forecasts.');
  return value;
}
