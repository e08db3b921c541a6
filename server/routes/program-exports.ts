import { Readable } from 'node:stream';
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import type { FastifyReply } from 'fastify';
import { Type } from 'typebox';
import { attachment } from '../exports/attachment.ts';
import type { FileMaker } from '../exports/file-maker.ts';
import { programTableCsv, programWorkCsv } from '../exports/program-csv.ts';
import type { WholeFile } from '../exports/program-file.ts';
import { programGeoJson } from '../exports/program-geojson.ts';
import { readProgramReport } from '../programs/stored-program.ts';
import { BytesSchema, ProblemSchema } from '../schemas/common.ts';
import type { Program } from '../schemas/program.ts';
import { oneOf } from '../schemas/words.ts';
import type { Store } from '../store/store.ts';

const WORKBOOK = 'application/vnd.openxmlformats-officedocument.spreadsheetml.sheet';
const FileParams = Type.Object({ id: Type.String({ maxLength: 64 }) });
const UnitsQuerySchema = Type.Object(
  { units: Type.Optional(Type.Unsafe<'si' | 'us'>({ ...oneOf(['si', 'us'], 'Units of lengths'), default: 'si' })) },
  { additionalProperties: false },
);
const schemaOf = (type: string) => ({
  params: FileParams,
  querystring: UnitsQuerySchema,
  produces: [type],
  response: { 200: BytesSchema, 400: ProblemSchema, 404: ProblemSchema },
});

/** A program as files to take away. The same program gives the same bytes. */
export const programExportRoutes =
  (store: Store, files: FileMaker): FastifyPluginAsyncTypebox =>
  async (app) => {
    const whole = async (id: string, format: WholeFile, units: 'si' | 'us', reply: FastifyReply) => {
      const program = await readProgramReport(store, id);
      const bytes = await files.make({ program, format, units });
      return reply
        .type(format === 'pdf' ? 'application/pdf' : WORKBOOK)
        .header('content-disposition', disposition(program, `.${format}`))
        .send(bytes);
    };
    app.get(
      '/export/program/:id.xlsx',
      { compress: false, schema: schemaOf(WORKBOOK) },
      async ({ params, query: { units = 'si' } }, reply) => whole(params.id, 'xlsx', units, reply),
    );
    app.get(
      '/export/program/:id.pdf',
      { compress: false, schema: schemaOf('application/pdf') },
      async ({ params, query: { units = 'si' } }, reply) => whole(params.id, 'pdf', units, reply),
    );
    app.get('/export/program/:id.geojson', { schema: schemaOf('application/geo+json') }, async ({ params }, reply) => {
      const program = await readProgramReport(store, params.id);
      return reply
        .type('application/geo+json')
        .header('content-disposition', disposition(program, '.geojson'))
        .send(Readable.from(programGeoJson(store, program)));
    });
    app.get(
      '/export/program/:id-table.csv',
      { schema: schemaOf('text/csv') },
      async ({ params, query: { units = 'si' } }, reply) => {
        const program = await readProgramReport(store, params.id);
        return reply
          .type('text/csv; charset=utf-8')
          .header('content-disposition', disposition(program, '-table.csv'))
          .send(Readable.from([programTableCsv(program, units)]));
      },
    );
    app.get(
      '/export/program/:id-work.csv',
      { schema: schemaOf('text/csv') },
      async ({ params, query: { units = 'si' } }, reply) => {
        const program = await readProgramReport(store, params.id);
        return reply
          .type('text/csv; charset=utf-8')
          .header('content-disposition', disposition(program, '-work.csv'))
          .send(Readable.from(programWorkCsv(store, program, units)));
      },
    );
  };

const disposition = ({ scenarioName }: Program, ending: string): string => attachment(scenarioName, ending, 'program');
