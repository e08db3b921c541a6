import { type Static, Type } from 'typebox';
import { IsoDateSchema, KeySchema, Nullable, SourceFields } from './common.ts';
import { DAMAGE_KINDS, InspectionMethodSchema, SeveritySchema } from './words.ts';

const Share = Type.Number({
  minimum: 0,
  maximum: 1,
  description: 'Share of length, 0 to 1',
});

/** A dated look at a segment. `id` is stable: the agency's key, or segment, day and method joined. */
export const InspectionSchema = Type.Object(
  {
    id: Type.String({ minLength: 1, maxLength: 160 }),
    segmentId: KeySchema,
    inspectedOn: IsoDateSchema,
    method: InspectionMethodSchema,
    inspector: Nullable(Type.String({ maxLength: 100 })),
    damagedShare: Share,
    damageShares: Type.Partial(
      Type.Object(
        Object.fromEntries(DAMAGE_KINDS.map((kind) => [kind, Share])) as Record<
          (typeof DAMAGE_KINDS)[number],
          typeof Share
        >,
      ),
      { additionalProperties: false },
    ),
    severity: Nullable(SeveritySchema),
    notes: Nullable(Type.String({ maxLength: 2000 })),
    photographs: Type.Array(Type.String({ maxLength: 300 }), { maxItems: 50 }),
    ...SourceFields,
  },
  { additionalProperties: false },
);
export type Inspection = Static<typeof InspectionSchema>;
