import { type Static, Type } from 'typebox';
import { Nullable } from './common.ts';
import { FacilitySchema } from './facility.ts';
import { ForecastSchema } from './forecast.ts';
import { InspectionSchema } from './inspection.ts';
import { SealSchema } from './seal.ts';
import { SegmentSchema } from './segment.ts';

/** Survival of the seal in place, given what is known, with its 80 % interval. */
export const CurveSchema = Type.Object({
  years: Type.Array(Type.Number(), { description: 'Decimal calendar years' }),
  survival: Type.Array(Type.Number()),
  lower: Type.Array(Type.Number()),
  upper: Type.Array(Type.Number()),
  knownSoundOn: Nullable(
    Type.String({
      description: 'Day of the last inspection that found it sound',
    }),
  ),
});
export type Curve = Static<typeof CurveSchema>;

/** All that is known and forecast of one segment. */
export const SegmentCardSchema = Type.Object({
  segment: SegmentSchema,
  facility: FacilitySchema,
  seals: Type.Array(SealSchema),
  inspections: Type.Array(InspectionSchema),
  forecast: Nullable(ForecastSchema),
  curve: Nullable(CurveSchema),
  observationNotes: Type.Array(Type.String(), {
    description: 'How the records of each seal were read, in the order of `seals`',
  }),
  movement: Nullable(
    Type.Object({
      seasonalOpeningMm: Type.Number(),
      widthMm: Type.Number(),
      demandShare: Type.Number({
        description: 'Seasonal opening over installed width',
      }),
      capabilityShare: Type.Number({
        description: "The class's design movement, share of width",
      }),
      note: Type.String(),
    }),
  ),
  modelVersion: Nullable(Type.Integer()),
});
export type SegmentCard = Static<typeof SegmentCardSchema>;
