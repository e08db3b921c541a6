import { type Static, Type } from 'typebox';
import { KeySchema, Nullable, SourceFields } from './common.ts';
import { FacilityKindSchema } from './words.ts';

export const FacilitySchema = Type.Object(
  {
    id: KeySchema,
    kind: FacilityKindSchema,
    name: Type.String({ minLength: 1, maxLength: 200 }),
    route: Nullable(Type.String({ maxLength: 64 })),
    district: Type.String({ minLength: 1, maxLength: 100 }),
    lanes: Nullable(Type.Integer({ minimum: 1, maximum: 30 })),
    widthM: Nullable(Type.Number({ exclusiveMinimum: 0, maximum: 500 })),
    aadt: Nullable(
      Type.Number({
        minimum: 0,
        maximum: 500_000,
        description: 'Vehicles a day, all lanes',
      }),
    ),
    truckShare: Nullable(Type.Number({ minimum: 0, maximum: 1 })),
    departuresPerYear: Nullable(Type.Number({ minimum: 0, maximum: 2_000_000 })),
    yearBuilt: Nullable(Type.Integer({ minimum: 1850, maximum: 2200 })),
    recordsFrom: Nullable(
      Type.String({
        pattern: '^[0-9]{4}-[0-9]{2}-[0-9]{2}$',
        description: 'First day on which failures here were recorded',
      }),
    ),
    ...SourceFields,
  },
  { additionalProperties: false },
);
export type Facility = Static<typeof FacilitySchema>;

/** The middle of a facility's segments, degrees. */
export const FacilityPlaceSchema = Type.Object({
  facilityId: Type.String(),
  lon: Type.Number(),
  lat: Type.Number(),
});
export type FacilityPlace = Static<typeof FacilityPlaceSchema>;
