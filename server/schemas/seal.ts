import { type Static, Type } from 'typebox';
import { IsoDateSchema, KeySchema, Nullable, SourceFields } from './common.ts';
import { PreparationSchema, RemovalReasonSchema, SealantClassSchema } from './words.ts';

const DepthMm = Nullable(Type.Number({ minimum: 0, maximum: 200 }));

/** One generation of sealant in a segment. `id` is stable: the agency's key, or segment and installation joined. */
export const SealSchema = Type.Object(
  {
    id: Type.String({ minLength: 1, maxLength: 140 }),
    segmentId: KeySchema,
    sealantClass: SealantClassSchema,
    specification: Nullable(Type.String({ maxLength: 100 })),
    installedFrom: IsoDateSchema,
    installedTo: {
      ...IsoDateSchema,
      description: 'Equal to installedFrom when the day is known',
    },
    installedAtC: Nullable(Type.Number({ minimum: -60, maximum: 70 })),
    widthMm: Nullable(Type.Number({ minimum: 3, maximum: 100 })),
    recessMm: DepthMm,
    beadDepthMm: DepthMm,
    backerRodDiameterMm: DepthMm,
    preparation: PreparationSchema,
    lot: Nullable(Type.String({ maxLength: 100, description: 'Crew or lot' })),
    removedOn: Nullable(IsoDateSchema),
    removalReason: Nullable(RemovalReasonSchema),
    ...SourceFields,
  },
  { additionalProperties: false },
);
export type Seal = Static<typeof SealSchema>;
