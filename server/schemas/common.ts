import type { Readable } from 'node:stream';
import { type Static, type TSchema, Type } from 'typebox';

/** RFC 9457 problem details. `errors` names each field that must change. */
export const ProblemSchema = Type.Object(
  {
    type: Type.String({
      description: 'A code of the list in server/problems.ts, as a relative address',
    }),
    title: Type.String(),
    status: Type.Integer(),
    detail: Type.String({
      description: 'What was found, what is allowed, and the next step',
    }),
    instance: Type.Optional(Type.String()),
    errors: Type.Optional(
      Type.Array(
        Type.Object({
          field: Type.String(),
          found: Type.String(),
          expected: Type.String(),
        }),
      ),
    ),
  },
  { $id: 'Problem' },
);
export type Problem = Static<typeof ProblemSchema>;

export const Nullable = <T extends TSchema>(schema: T) => Type.Union([schema, Type.Null()]);

export const IsoDateSchema = Type.String({
  pattern: '^[0-9]{4}-[0-9]{2}-[0-9]{2}$',
  description: 'A day, ISO 8601 (YYYY-MM-DD)',
});
export const KeySchema = Type.String({
  minLength: 1,
  maxLength: 64,
  description: "The agency's own key, kept as given",
});

/** A number with its 80 % interval. */
export const IntervalSchema = Type.Object({
  median: Type.Number(),
  lower: Type.Number({ description: '10th percentile' }),
  upper: Type.Number({ description: '90th percentile' }),
});
export type Interval = Static<typeof IntervalSchema>;

/** The file and row a record came from; null when it was typed in. */
export const SourceFields = {
  sourceFile: Type.Optional(Nullable(Type.String())),
  sourceRow: Type.Optional(Nullable(Type.Integer())),
};

/** Bytes that leave as they are: a tile, a file, a stream of events. */
export const BytesSchema = Type.Unsafe<Buffer | Readable>({
  type: 'string',
  format: 'binary',
});
export const EmptySchema = Type.Unsafe<undefined>({ type: 'null' });
