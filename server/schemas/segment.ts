import { type Static, Type } from 'typebox';
import { KeySchema, Nullable, SourceFields } from './common.ts';
import { AggregateSchema, BaseTypeSchema, DirectionSchema, JointTypeSchema } from './words.ts';

const Position = Type.Array(Type.Number(), {
  minItems: 2,
  maxItems: 3,
  description: 'lon, lat (WGS 84)',
});
export const LineGeometrySchema = Type.Union([
  Type.Object({
    type: Type.Literal('LineString'),
    coordinates: Type.Array(Position, { minItems: 2 }),
  }),
  Type.Object({
    type: Type.Literal('MultiLineString'),
    coordinates: Type.Array(Type.Array(Position, { minItems: 2 }), {
      minItems: 1,
    }),
  }),
]);
export type LineGeometry = Static<typeof LineGeometrySchema>;

const LaneSchema = Type.Integer({
  minimum: 1,
  maximum: 15,
  description: 'First of the lanes that close for work on it, numbered in its direction as the agency numbers them',
});

/** Joint segment: a run of like joints kept as one record with one geometry. */
export const SegmentSchema = Type.Object(
  {
    id: KeySchema,
    facilityId: KeySchema,
    district: Type.String({ minLength: 1, maxLength: 100 }),
    jointType: JointTypeSchema,
    direction: Nullable(DirectionSchema),
    firstLane: Nullable(LaneSchema),
    lastLane: Nullable({
      ...LaneSchema,
      description: 'Last of the lanes that close for work on it; at least firstLane',
    }),
    beginM: Nullable(
      Type.Number({
        minimum: 0,
        maximum: 10_000_000,
        description: 'Measure along the route, m',
      }),
    ),
    endM: Nullable(
      Type.Number({
        minimum: 0,
        maximum: 10_000_000,
        description: 'Measure along the route, m',
      }),
    ),
    slabLengthM: Nullable(
      Type.Number({
        minimum: 0.5,
        maximum: 100,
        description: 'Distance between working joints',
      }),
    ),
    slabThicknessMm: Nullable(Type.Number({ minimum: 75, maximum: 1000 })),
    baseType: BaseTypeSchema,
    coarseAggregate: AggregateSchema,
    widthMm: Nullable(
      Type.Number({
        minimum: 3,
        maximum: 100,
        description: 'Gap between the faces',
      }),
    ),
    widthAtC: Nullable(
      Type.Number({
        minimum: -60,
        maximum: 70,
        description: 'Temperature when the width was taken',
      }),
    ),
    reservoirDepthMm: Nullable(
      Type.Number({
        minimum: 5,
        maximum: 200,
        description: 'Surface to bottom of the slot',
      }),
    ),
    jointCount: Nullable(Type.Integer({ minimum: 1, maximum: 100_000 })),
    sealedLengthM: Type.Number({
      exclusiveMinimum: 0,
      maximum: 200_000,
      description: 'Length of sealed joint, all joints together',
    }),
    fuelExposure: Type.Boolean(),
    consequenceWeight: Type.Number({ minimum: 0, maximum: 100, default: 1 }),
    unsealedByPolicy: Type.Boolean({ description: 'A state, not a failure' }),
    leftAloneReason: Nullable(Type.String({ maxLength: 200 })),
    geometry: LineGeometrySchema,
    ...SourceFields,
  },
  { additionalProperties: false },
);
export type Segment = Static<typeof SegmentSchema>;
