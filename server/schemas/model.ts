import { type Static, Type } from 'typebox';
import { IntervalSchema, Nullable } from './common.ts';
import { PoolingReportSchema, PoolingSettingSchema } from './pooling.ts';
import { PriorsSchema } from './priors.ts';
import { ConditionModelSchema } from './settings.ts';
import { ClimateZoneSchema, FamilySchema, oneOf, SealantClassSchema } from './words.ts';
import { YearsReportSchema } from './years.ts';

export const FitStatusSchema = oneOf(
  ['ok', 'weak', 'no-events', 'separated', 'shape-at-boundary', 'nonconcave', 'max-iter', 'nonfinite'],
  'survival fit status; everything but ok comes with its remedy',
);
export type FitStatus = Static<typeof FitStatusSchema>;

/** What `kerfcast fit` prints and what the stored model holds, on the original covariate scale. */
export const FitReportSchema = Type.Object({
  family: FamilySchema,
  coefficients: Type.Record(Type.String(), Type.Number()),
  scale: Type.Number(),
  logLikelihood: Type.Number(),
  standardErrors: Type.Record(Type.String(), Nullable(Type.Number())),
  covariance: Nullable(Type.Array(Type.Array(Type.Number()))),
  observations: Type.Integer(),
  failures: Type.Integer(),
  iterations: Type.Integer(),
  converged: Type.Boolean(),
  status: FitStatusSchema,
  warnings: Type.Array(Type.String()),
  fitSeconds: Type.Number(),
});
export type FitReport = Static<typeof FitReportSchema>;

/** Life curve of one sealant class: the fitted curve with its 80 % band at the class's average covariates, and
 * Turnbull's non-parametric estimate as boxes (mass lies somewhere inside each box). */
export const ClassLifeSchema = Type.Object({
  sealantClass: SealantClassSchema,
  observations: Type.Integer(),
  failures: Type.Integer(),
  medianLifeYears: IntervalSchema,
  priorMedianLifeYears: Nullable(Type.Number()),
  priorSource: Nullable(Type.String()),
  dataShare: Type.Number({
    description: '1 - posterior variance / prior variance of the log median, 0 to 1',
  }),
  curve: Type.Object({
    years: Type.Array(Type.Number()),
    survival: Type.Array(Type.Number()),
    lower: Type.Array(Type.Number()),
    upper: Type.Array(Type.Number()),
  }),
  turnbull: Type.Array(
    Type.Object({
      fromYears: Type.Number(),
      toYears: Nullable(Type.Number({ description: 'null: open to the right' })),
      survivalBefore: Type.Number(),
      survivalAfter: Type.Number(),
    }),
  ),
});
export type ClassLife = Static<typeof ClassLifeSchema>;

/** How one covariate changes life: "lasts 0.7 times as long, 0.6 to 0.8". */
export const EffectSchema = Type.Object({
  name: Type.String(),
  label: Type.String(),
  step: Type.String({
    description: 'The change that the ratio is for, e.g. "per 500 degree-days C"',
  }),
  lifeRatio: IntervalSchema,
  sentence: Type.String(),
  reason: Type.String({
    description: 'The published reason for having it in the model',
  }),
  missing: Type.Integer({
    description: 'Seals without a value; they took the network mean',
  }),
  climateZone: Nullable(ClimateZoneSchema),
});
export type Effect = Static<typeof EffectSchema>;

/** What damaged shares below the threshold tell, and whether forecasts use it. Absent from reports of older versions. */
export const ConditionReportSchema = Type.Object({
  used: Type.Boolean(),
  sentence: Type.String({ description: 'Which model forecasts use, and why' }),
  status: Nullable(FitStatusSchema),
  warnings: Type.Array(Type.String()),
  readings: Type.Integer({ description: 'Damaged shares by the method of the network, on seals that the fit uses' }),
  sealsWithShare: Type.Integer({ description: 'Seals with a share above the detection limit and below full' }),
  sealsWithTwoShares: Type.Integer(),
  growthLaw: Nullable(Type.String({ description: 'How the damaged share grows with age, in words' })),
  exponent: Nullable({ ...IntervalSchema, description: 'm: damage grows as about this power of age' }),
  readingSd: Nullable({
    ...IntervalSchema,
    description: 'Error of one reading, near a relative error of small shares',
  }),
  inspectorSd: Nullable(Type.Number({ description: 'Spread of habits between inspectors, same scale' })),
  inspectors: Type.Array(
    Type.Object({
      name: Type.String(),
      readings: Type.Integer(),
      shift: { ...IntervalSchema, description: 'Above 0: reads more damage than the average inspector' },
      readsTimes: { ...IntervalSchema, description: 'Small shares read by this inspector over those of the average' },
      sentence: Type.String(),
    }),
  ),
  sampling: Nullable(Type.Object({ effectiveSampleSize: Type.Number(), paretoK: Nullable(Type.Number()) })),
});
export type ConditionReport = Static<typeof ConditionReportSchema>;

/** The fit of ages alone, same family and covariates: what fit measures of versions are compared by. */
export const AgesAloneSchema = Type.Object({
  logLikelihood: Type.Number(),
  parameters: Type.Integer({ description: 'Coefficients and, but for the exponential, the scale' }),
  observations: Type.Integer(),
  failures: Type.Integer(),
});
export type AgesAlone = Static<typeof AgesAloneSchema>;

/** The fitted service-life model with what went into it. */
export const ModelReportSchema = Type.Object({
  version: Type.Integer(),
  fittedAt: Type.String(),
  planningDate: Type.String(),
  dataVersion: Type.Integer(),
  settingsUsed: Type.Object({
    family: FamilySchema,
    failureThresholdShare: Type.Number(),
    inspectionMethod: Type.String(),
    prior: Type.String(),
    seed: Type.Integer(),
    draws: Type.Integer(),
    conditionModel: Type.Optional(ConditionModelSchema),
    pooling: Type.Optional(PoolingSettingSchema),
    leftOutCovariates: Type.Optional(Type.Array(Type.String())),
    priors: Type.Optional(Nullable(PriorsSchema)),
  }),
  forecastFrom: Type.Optional(
    Type.String({ description: 'Day from which the newest forecast with this model starts; left out: planningDate' }),
  ),
  condition: Type.Optional(ConditionReportSchema),
  pooling: Type.Optional(PoolingReportSchema),
  years: Type.Optional(YearsReportSchema),
  agesAlone: Type.Optional(AgesAloneSchema),
  summary: Type.String({ description: 'The model in plain words' }),
  fit: FitReportSchema,
  shape: Nullable(IntervalSchema),
  classes: Type.Array(ClassLifeSchema),
  effects: Type.Array(EffectSchema),
  climateZones: Type.Array(
    Type.Object({
      zone: ClimateZoneSchema,
      segments: Type.Integer(),
      lifeRatio: IntervalSchema,
      sentence: Type.String(),
    }),
  ),
  dataUse: Type.Array(
    Type.Object({
      rule: Type.String({ description: 'A row of the observation table' }),
      label: Type.String(),
      seals: Type.Integer(),
      used: Type.Boolean(),
      examples: Type.Array(Type.String(), {
        description: 'Up to ten segment ids',
      }),
    }),
  ),
  sampling: Type.Object({
    effectiveSampleSize: Type.Number(),
    paretoK: Nullable(Type.Number()),
    note: Type.String(),
  }),
  damageGrowth: Nullable(
    Type.Object({
      exponent: Type.Number(),
      logSd: Type.Number(),
      pairs: Type.Integer(),
    }),
  ),
});
export type ModelReport = Static<typeof ModelReportSchema>;
