import { type Static, Type } from 'typebox';
import { IntervalSchema, Nullable } from './common.ts';
import { DirectionSchema, FacilityKindSchema, JointTypeSchema, SealantClassSchema } from './words.ts';

/** Years of the horizon after the planning year; probabilities run over HORIZON_YEARS + 1 year ends. */
export const HORIZON_YEARS = 20;

/** What is forecast for one segment. Years are decimal calendar years (2031.5). */
export const ForecastSchema = Type.Object({
  planningYear: Type.Integer({
    description: 'The calendar year that forecasts start in',
  }),
  failedByYearEnd: Type.Array(Type.Number(), {
    description: 'Probability of having failed by 31 December of planningYear, planningYear + 1, ...',
  }),
  failedNowProbability: Type.Number({
    description: 'Probability of having failed by the planning date',
  }),
  knownFailed: Type.Boolean({
    description: 'The last inspection found it failed and no reseal is recorded',
  }),
  medianFailureYear: Nullable(Type.Number({ description: 'null: more than 100 years ahead' })),
  lowerFailureYear: Nullable(
    Type.Number({
      description: '10 % failed by then, uncertainty of parameters included',
    }),
  ),
  upperFailureYear: Nullable(
    Type.Number({
      description: '90 % failed by then; null: more than 100 years ahead',
    }),
  ),
  dueYear: Nullable(
    Type.Integer({
      description: 'Year in which resealing is cheapest in the long run; null: beyond the horizon',
    }),
  ),
  dueReason: Type.String({ description: 'Why that year, in a sentence' }),
  dataShare: Type.Number({
    description: 'How much of the forecast is data rather than prior, 0 to 1',
  }),
});
export type Forecast = Static<typeof ForecastSchema>;

/** One line of the joints table, and what the map and exports show. */
export const SegmentRowSchema = Type.Object({
  id: Type.String(),
  facilityId: Type.String(),
  facilityName: Type.String(),
  facilityKind: FacilityKindSchema,
  district: Type.String(),
  jointType: JointTypeSchema,
  direction: Type.Optional(Nullable(DirectionSchema)),
  firstLane: Type.Optional(Nullable(Type.Integer())),
  lastLane: Type.Optional(Nullable(Type.Integer())),
  beginM: Nullable(Type.Number()),
  endM: Nullable(Type.Number()),
  widthMm: Nullable(Type.Number()),
  sealedLengthM: Type.Number(),
  sealantClass: Nullable(SealantClassSchema),
  installedFrom: Nullable(Type.String()),
  installedTo: Nullable(Type.String()),
  ageYears: Nullable(
    Type.Number({
      description: 'At the planning date, from the middle of the installation range',
    }),
  ),
  lastInspectedOn: Nullable(Type.String()),
  damagedShare: Nullable(Type.Number({ description: 'At the last inspection of the seal in place' })),
  failedNowProbability: Nullable(Type.Number()),
  medianFailureYear: Nullable(Type.Number()),
  lowerFailureYear: Nullable(Type.Number()),
  upperFailureYear: Nullable(Type.Number()),
  dueYear: Nullable(Type.Integer()),
  unsealedByPolicy: Type.Boolean(),
});
export type SegmentRow = Static<typeof SegmentRowSchema>;

export const SegmentPageSchema = Type.Object({
  items: Type.Array(SegmentRowSchema),
  numberMatched: Type.Integer({
    description: 'Exact count of segments that the filter keeps',
  }),
  next: Nullable(
    Type.String({
      description: 'Keyset token: send as `after` for the next page; null on the last',
    }),
  ),
});
export type SegmentPage = Static<typeof SegmentPageSchema>;

const Facet = Type.Array(
  Type.Object({
    value: Type.String(),
    count: Type.Integer(),
    sealedLengthM: Type.Number(),
  }),
);

/** Totals of what the filter keeps, and the words present in the network for each filter. */
export const SummarySchema = Type.Object({
  segments: Type.Integer(),
  sealedLengthM: Type.Number(),
  expectedFailedNowM: Type.Number({
    description: 'Sum of sealed length x probability of having failed by now',
  }),
  expectedFailedNowInterval: Type.Optional(
    Nullable({
      ...IntervalSchema,
      description:
        'Length failed by now, m: 80 %, with the parameters that segments share and the chance of each. null: no forecast',
    }),
  ),
  distressedM: Type.Number({
    description: 'Sealed length of segments at or above the failure threshold at last inspection',
  }),
  neverInspected: Type.Integer(),
  dueByYear: Type.Array(
    Type.Object({
      year: Type.Integer(),
      segments: Type.Integer(),
      sealedLengthM: Type.Number(),
    }),
  ),
  dueBeyondHorizon: Type.Integer(),
  facets: Type.Object({
    district: Facet,
    facilityKind: Facet,
    jointType: Facet,
    sealantClass: Facet,
  }),
  ageYearsRange: Nullable(Type.Tuple([Type.Number(), Type.Number()])),
  dataVersion: Type.Integer(),
});
export type Summary = Static<typeof SummarySchema>;
