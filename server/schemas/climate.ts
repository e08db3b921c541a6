import { type Static, Type } from 'typebox';
import { IsoDateSchema, Nullable, SourceFields } from './common.ts';

export const ClimateStationSchema = Type.Object(
  {
    id: Type.String({ minLength: 1, maxLength: 40 }),
    name: Nullable(Type.String({ maxLength: 200 })),
    lon: Type.Number({ minimum: -180, maximum: 180 }),
    lat: Type.Number({ minimum: -90, maximum: 90 }),
    elevationM: Nullable(Type.Number({ minimum: -500, maximum: 9000 })),
    ...SourceFields,
  },
  { additionalProperties: false },
);
export type ClimateStation = Static<typeof ClimateStationSchema>;

export const ClimateDaySchema = Type.Object(
  {
    stationId: Type.String({ minLength: 1, maxLength: 40 }),
    day: IsoDateSchema,
    maxC: Nullable(Type.Number({ minimum: -90, maximum: 60 })),
    minC: Nullable(Type.Number({ minimum: -90, maximum: 60 })),
    precipitationMm: Nullable(Type.Number({ minimum: 0, maximum: 2000 })),
  },
  { additionalProperties: false },
);
export type ClimateDay = Static<typeof ClimateDaySchema>;
