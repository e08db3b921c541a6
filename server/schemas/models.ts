import { type Static, Type } from 'typebox';
import { IntervalSchema, Nullable } from './common.ts';
import { FitStatusSchema, ModelReportSchema } from './model.ts';
import { CovariateNameSchema } from './settings.ts';
import { FAMILIES, FamilySchema, oneOf } from './words.ts';

/** One model that was fitted, and kept. Fit measures are those of ages alone, so that versions compare. */
export const ModelVersionSchema = Type.Object({
  version: Type.Integer(),
  fittedAt: Type.String(),
  planningDate: Type.String(),
  dataVersion: Type.Integer(),
  family: FamilySchema,
  settingsUsed: ModelReportSchema.properties.settingsUsed,
  conditionUsed: Type.Boolean({ description: 'Forecasts rest on damaged shares too' }),
  observations: Type.Integer(),
  failures: Type.Integer(),
  logLikelihood: Type.Number(),
  parameters: Type.Integer({ description: 'Coefficients and scale' }),
  aic: Type.Number(),
  bic: Nullable(Type.Number({ description: 'With n = failures; null where there are none' })),
  backTestLogScore: Nullable(Type.Number({ description: 'Mean over later looks, smaller is better; null: not made' })),
  current: Type.Boolean({ description: 'Forecast, budget and exports come from it' }),
});
export type ModelVersion = Static<typeof ModelVersionSchema>;

export const ModelVersionsSchema = Type.Object({
  current: Nullable(Type.Integer()),
  versions: Type.Array(ModelVersionSchema, { description: 'Newest first' }),
  note: Type.String({ description: 'What may be compared with what' }),
});
export type ModelVersions = Static<typeof ModelVersionsSchema>;

/** Families that are compared: those that forecasts can use, and the generalised gamma as a referee of them. */
export const COMPARED_FAMILIES = [...FAMILIES, 'generalised-gamma'] as const;
export const ComparedFamilySchema = oneOf(COMPARED_FAMILIES, 'Life distribution; generalised-gamma is the referee');
export type ComparedFamily = Static<typeof ComparedFamilySchema>;

/** What to compare. Every choice is tried with every other; left out: the present settings, varied one at a time. */
export const ComparisonRequestSchema = Type.Object(
  {
    families: Type.Optional(Type.Array(ComparedFamilySchema, { minItems: 1, maxItems: 5, uniqueItems: true })),
    thresholds: Type.Optional(
      Type.Array(Type.Number({ minimum: 0.01, maximum: 1 }), { minItems: 1, maxItems: 6, uniqueItems: true }),
    ),
    leaveOut: Type.Optional(
      Type.Array(Type.Array(CovariateNameSchema, { maxItems: 20, uniqueItems: true }), {
        minItems: 1,
        maxItems: 12,
        description: 'Sets of covariates to do without; an empty set leaves none out',
      }),
    ),
  },
  { additionalProperties: false },
);
export type ComparisonRequest = Static<typeof ComparisonRequestSchema>;

export const ComparisonRowSchema = Type.Object({
  label: Type.String(),
  family: ComparedFamilySchema,
  failureThresholdShare: Type.Number(),
  leftOut: Type.Array(Type.Object({ name: CovariateNameSchema, label: Type.String() })),
  observations: Type.Integer(),
  failures: Type.Integer(),
  parameters: Type.Integer(),
  logLikelihood: Nullable(Type.Number({ description: 'null, like the criteria, where no fit was found' })),
  aic: Nullable(Type.Number()),
  aicDifference: Nullable(Type.Number({ description: 'AIC less the least one of the same threshold' })),
  aicc: Nullable(Type.Number({ description: 'Null where failures are too few for the correction' })),
  bic: Nullable(Type.Number({ description: 'With n = failures; null where there are none' })),
  medianLifeYears: Nullable(IntervalSchema),
  tenPercentLifeYears: Nullable({ ...IntervalSchema, description: 'Age by which a tenth of average seals has failed' }),
  backTestLogScore: Nullable(Type.Number({ description: 'Mean over later looks; smaller is better' })),
  backTestTrials: Nullable(Type.Integer()),
  converged: Type.Boolean(),
  status: FitStatusSchema,
  warnings: Type.Array(Type.String()),
  comparable: Type.Boolean({
    description: 'AIC and BIC compare with those of the present settings: same threshold, same observations',
  }),
  current: Type.Boolean({ description: 'These are the present settings' }),
  adoptable: Type.Boolean({ description: 'Forecasts can use it: PUT these settings, then POST /api/forecasts' }),
  sentence: Type.String(),
});
export type ComparisonRow = Static<typeof ComparisonRowSchema>;

export const ModelComparisonSchema = Type.Object({
  madeAt: Nullable(Type.String({ description: 'null: none has been made yet' })),
  dataVersion: Nullable(Type.Integer()),
  outdated: Type.Boolean({ description: 'Records have changed since' }),
  rows: Type.Array(ComparisonRowSchema),
  summary: Type.String({ description: 'What the comparison says, in plain words' }),
  notes: Type.Array(Type.String(), { description: 'What may be compared with what' }),
});
export type ModelComparison = Static<typeof ModelComparisonSchema>;
