import { createHash } from 'node:crypto';
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox';
import type { FastifyReply } from 'fastify';
import { Type } from 'typebox';
import { foundSchedule, scheduleAnswer } from '../closures/stored-plan.ts';
import { attachment } from '../exports/attachment.ts';
import { closureCalendar } from '../exports/closure-calendar.ts';
import { closuresCsv } from '../exports/closures-csv.ts';
import { closurePacketPdf } from '../exports/packet/closure-packet-pdf.ts';
import { ProblemError } from '../problems.ts';
import { BytesSchema, IsoDateSchema, KeySchema, ProblemSchema } from '../schemas/common.ts';
import { oneOf } from '../schemas/words.ts';
import type { Store } from '../store/store.ts';

const PlanFileParams = Type.Object({ id: Type.String({ maxLength: 64 }) });
const UnitsSchema = Type.Optional(
  Type.Unsafe<'si' | 'us'>({ ...oneOf(['si', 'us'], 'Units of lengths and volumes'), default: 'si' }),
);
const FileQuerySchema = Type.Object({ units: UnitsSchema }, { additionalProperties: false });
const CalendarQuerySchema = Type.Object(
  { facility: Type.Optional({ ...KeySchema, description: 'One facility; left out: all' }), units: UnitsSchema },
  { additionalProperties: false },
);
const PacketsQuerySchema = Type.Object(
  {
    facility: Type.Optional({ ...KeySchema, description: 'One facility; left out: all' }),
    from: Type.Optional({ ...IsoDateSchema, description: 'First day on which a closure starts; left out: any' }),
    to: Type.Optional({ ...IsoDateSchema, description: 'Last day on which a closure starts; left out: any' }),
    units: UnitsSchema,
  },
  { additionalProperties: false },
);
/** Packets in one file: a few seconds to write, between which others are served. */
const MOST_PACKETS = 200;
const answers = { 200: BytesSchema, 400: ProblemSchema, 404: ProblemSchema };
const CALENDAR = 'text/calendar; charset=utf-8; method=PUBLISH';

/** Closures to take away: calendar, subscription, table, packets. */
export const closureExportRoutes =
  (store: Store): FastifyPluginAsyncTypebox =>
  async (app) => {
    const calendarOf = async (id: string, { facility, units = 'si' }: { facility?: string; units?: 'si' | 'us' }) => {
      const { plan, schedule } = await foundSchedule(store, id);
      const closures = schedule.closures.filter(
        ({ closure }) => facility === undefined || closure.facilityId === facility,
      );
      return { plan, text: closureCalendar({ name: plan.name, timeZone: schedule.head.timeZone, closures, units }) };
    };
    app.get(
      '/calendar/:id.ics',
      {
        schema: {
          params: PlanFileParams,
          querystring: CalendarQuerySchema,
          produces: ['text/calendar'],
          response: { ...answers, 304: Type.Unsafe<undefined>({ description: 'As it was' }) },
        },
      },
      async ({ params, query, headers }, reply) => {
        const { text } = await calendarOf(params.id, query);
        const tag = `"${createHash('sha256').update(text).digest('base64url').slice(0, 27)}"`;
        reply.headers({ etag: tag, 'cache-control': 'no-cache' });
        if (matches(headers['if-none-match'], tag)) return reply.code(304).send();
        return reply.type(CALENDAR).send(Buffer.from(text));
      },
    );
    app.get(
      '/export/closures/:id.ics',
      {
        schema: {
          params: PlanFileParams,
          querystring: CalendarQuerySchema,
          produces: ['text/calendar'],
          response: answers,
        },
      },
      async ({ params, query }, reply) => {
        const { plan, text } = await calendarOf(params.id, query);
        return named(reply, plan.name, '.ics').type(CALENDAR).send(Buffer.from(text));
      },
    );
    app.get(
      '/export/closures/:id.csv',
      { schema: { params: PlanFileParams, querystring: FileQuerySchema, produces: ['text/csv'], response: answers } },
      async ({ params, query: { units = 'si' } }, reply) => {
        const { plan, schedule } = await foundSchedule(store, params.id);
        const text = closuresCsv(scheduleAnswer(plan, schedule), units);
        return named(reply, plan.name, '.csv').type('text/csv; charset=utf-8').send(Buffer.from(text));
      },
    );
    app.get(
      '/export/closures/:id.pdf',
      {
        compress: false,
        schema: {
          params: PlanFileParams,
          querystring: PacketsQuerySchema,
          produces: ['application/pdf'],
          response: { ...answers, 422: ProblemSchema },
        },
      },
      async ({ params, query: { units = 'si', facility, from = '', to = '9999' } }, reply) => {
        const { plan, schedule } = await foundSchedule(store, params.id);
        const answer = scheduleAnswer(plan, schedule);
        const closures = answer.closures.filter(({ facilityId, startsAt }) => {
          const day = startsAt.slice(0, 10);
          return (facility === undefined || facilityId === facility) && day >= from && day <= to;
        });
        if (closures.length > MOST_PACKETS)
          throw new ProblemError(
            'not-suitable',
            `${closures.length} packets are too many for one file; the most is ${MOST_PACKETS}. Ask for less: ?facility=, ?from= and ?to= (YYYY-MM-DD); or write all of them with kerfcast closures --out FILE.pdf.`,
          );
        const bytes = await closurePacketPdf(store, answer, { closures, units });
        return named(reply, plan.name, '.pdf').type('application/pdf').send(bytes);
      },
    );
    app.get(
      '/export/closures/:id/:closureId.pdf',
      {
        compress: false,
        schema: {
          params: Type.Object({ ...PlanFileParams.properties, closureId: Type.String({ maxLength: 200 }) }),
          querystring: FileQuerySchema,
          produces: ['application/pdf'],
          response: answers,
        },
      },
      async ({ params, query: { units = 'si' } }, reply) => {
        const { plan, schedule } = await foundSchedule(store, params.id);
        const answer = scheduleAnswer(plan, schedule);
        const closures = answer.closures.filter(({ id }) => id === params.closureId);
        if (closures.length === 0)
          throw new ProblemError(
            'not-found',
            `${plan.name} has no closure ${params.closureId}. List: GET /api/closure-plans/${plan.id}/schedule`,
          );
        const bytes = await closurePacketPdf(store, answer, { closures, units });
        return named(reply, `${closures[0].facilityName} ${closures[0].startsAt.slice(0, 10)}`, '.pdf')
          .type('application/pdf')
          .send(bytes);
      },
    );
  };

/** If-None-Match (RFC 9110, section 13.1.2): any of a list, weak or not, or anything. */
const matches = (ifNoneMatch: string | undefined, tag: string): boolean =>
  (ifNoneMatch ?? '').split(',').some((each) => ['*', tag].includes(each.trim().replace(/^W\//, '')));

const named = (reply: FastifyReply, name: string, ending: string): FastifyReply =>
  reply.header('content-disposition', attachment(name, ending, 'closures'));
