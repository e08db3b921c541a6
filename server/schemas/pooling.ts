import { type Static, Type } from 'typebox';
import { IntervalSchema, Nullable } from './common.ts';
import { oneOf } from './words.ts';

export const PoolingSettingSchema = oneOf(
  ['auto', 'off'],
  'auto: districts, facilities and lots have effects of their own where the records show that they differ; off: never',
);

export const POOLED_GROUPING_NAMES = ['district', 'facility', 'lot'] as const;
export const PooledGroupingNameSchema = oneOf(POOLED_GROUPING_NAMES, 'What seals share');
export type PooledGroupingName = Static<typeof PooledGroupingNameSchema>;

export const PooledLevelSchema = Type.Object({
  level: Type.String(),
  lifeRatio: {
    ...IntervalSchema,
    description: 'Life over that at the average level, drawn in to 1 where records are thin',
  },
  seals: Type.Integer(),
  failures: Type.Integer(),
});

/** One grouping, and whether forecasts allow for it. */
export const PooledGroupingSchema = Type.Object({
  name: PooledGroupingNameSchema,
  used: Type.Boolean(),
  factor: Nullable({ ...IntervalSchema, description: 'exp of the SD of log life among levels; null: not used' }),
  gain: Type.Number({ description: 'Twice the gain in log marginal likelihood from letting the levels differ' }),
  levels: Type.Integer({ description: 'Levels with seals in the fit' }),
  unknownSeals: Type.Integer({ description: 'Seals of the fit of which it is not recorded' }),
  sentence: Type.String(),
  shortest: Type.Array(PooledLevelSchema, { description: 'Up to five levels with the shortest lives' }),
  longest: Type.Array(PooledLevelSchema, { description: 'Up to five levels with the longest lives' }),
});
export type PooledGroupingReport = Static<typeof PooledGroupingSchema>;

/** What seals of one district, facility or lot share, and whether forecasts use it. Absent from reports of older versions. */
export const PoolingReportSchema = Type.Object({
  used: Type.Boolean(),
  sentence: Type.String(),
  leastGain: Type.Number({ description: 'A grouping is used from this gain up' }),
  groupings: Type.Array(PooledGroupingSchema),
});
export type PoolingReport = Static<typeof PoolingReportSchema>;
