import { type Static, Type } from 'typebox';
import { Nullable } from './common.ts';
import { RangeSchema } from './evidence-backtest.ts';
import { FamilySchema } from './words.ts';

/** Failures found in inspection intervals against those that the fit expects in them. */
export const ObservedExpectedSchema = Type.Object({
  label: Type.String(),
  trials: Type.Integer({ description: 'Inspection intervals' }),
  observed: Type.Number(),
  expected: Type.Number(),
  ratio: Nullable(Type.Number()),
  interval: Nullable({ ...RangeSchema, description: 'Exact 80 % interval of the ratio' }),
});
export type ObservedExpected = Static<typeof ObservedExpectedSchema>;

export const ObservedExpectedReportSchema = Type.Object({
  overall: ObservedExpectedSchema,
  byDecile: Type.Array(ObservedExpectedSchema),
  byAge: Type.Array(ObservedExpectedSchema),
  byClass: Type.Array(ObservedExpectedSchema),
  byZone: Type.Array(ObservedExpectedSchema),
});

/** Cox–Snell residuals as a survival curve beside that of the unit exponential, which they follow where the fit is right. */
export const CoxSnellSchema = Type.Object({
  boxes: Type.Array(
    Type.Object({
      from: Type.Number(),
      to: Nullable(Type.Number({ description: 'null: open to the right' })),
      survivalAfter: Type.Number(),
      exponentialAfter: Type.Number(),
    }),
  ),
  largestGap: Type.Number({ description: 'Largest distance between the two, on the scale of survival' }),
  rows: Type.Integer(),
  note: Nullable(Type.String()),
});

/** Probability-scale residuals against one covariate: mean 0 in every bin where the fit is right. */
export const CovariateResidualsSchema = Type.Object({
  name: Type.String(),
  label: Type.String(),
  unit: Type.String(),
  bins: Type.Array(
    Type.Object({
      from: Nullable(Type.Number({ description: 'null: the rows without a value' })),
      to: Nullable(Type.Number()),
      rows: Type.Integer(),
      mean: Type.Number({ description: 'Above 0: such seals last longer than the fit says' }),
      interval: Nullable(RangeSchema),
    }),
  ),
});

/** Profile likelihood of the shape (1 / sigma) with its prior. */
export const ShapeProfileSchema = Type.Object({
  points: Type.Array(
    Type.Object({
      shape: Type.Number(),
      logLikelihood: Type.Number(),
      logPrior: Nullable(Type.Number()),
      logPosterior: Type.Number(),
    }),
  ),
  best: Type.Number(),
  lower: Nullable(Type.Number()),
  upper: Nullable(Type.Number()),
  prior: Nullable(Type.Object({ ...RangeSchema.properties, median: Type.Number() })),
  dataShare: Type.Number({ description: '0 all prior, 1 all data' }),
});

const LifeRangeSchema = Type.Object({ median: Type.Number(), lower: Type.Number(), upper: Type.Number() });

/** What the records of one class say beside what was believed of it before. */
export const ClassKnowledgeSchema = Type.Object({
  sealantClass: Type.String(),
  seals: Type.Number(),
  failures: Type.Number(),
  exposureYears: Type.Number({ description: 'Years under observation and known sound' }),
  priorLife: { ...LifeRangeSchema, description: 'Median life, years, with 80 % interval' },
  posteriorLife: LifeRangeSchema,
  priorWorthFailures: Type.Number({ description: 'How many observed failures the prior is worth' }),
  dataShare: Type.Number({ description: '0 all prior, 1 all data' }),
});

export const EntryAgeCheckSchema = Type.Object({
  entryYears: Type.Number({ description: 'Entry ages up to this are the young half' }),
  youngRows: Type.Integer(),
  oldRows: Type.Integer(),
  youngFailures: Type.Number(),
  lifeRatio: Nullable(Type.Number({ description: 'Median life by the young half over that by all rows' })),
  lower: Nullable(Type.Number()),
  upper: Nullable(Type.Number()),
  drift: Type.Boolean({ description: 'True: a 95 % interval of the ratio leaves out 1' }),
  note: Nullable(Type.String()),
});

/** Non-parametric estimate and fitted line of one class on the family's paper: x is log age, y the quantile of the chance. */
export const ProbabilityPlotSchema = Type.Object({
  sealantClass: Type.String(),
  family: FamilySchema,
  seals: Type.Integer(),
  failures: Type.Integer(),
  boxes: Type.Array(
    Type.Object({
      fromYears: Type.Number(),
      toYears: Nullable(Type.Number({ description: 'null: open to the right' })),
      failedBefore: Type.Number({ description: 'Share failed, 0 to 1' }),
      failedAfter: Type.Number(),
      quantileBefore: Nullable(Type.Number({ description: 'null: 0 or 1 has no place on the paper' })),
      quantileAfter: Nullable(Type.Number()),
      meetsBand: Type.Boolean({ description: 'The band of the line passes through the box' }),
    }),
    {
      description:
        "Turnbull's estimate: its mass lies somewhere inside each box. Ages are carried to the average seal of the class",
    },
  ),
  line: Type.Array(
    Type.Object({
      failed: Type.Number({ description: 'Share failed, 0 to 1' }),
      quantile: Type.Number(),
      ageYears: Type.Number({ description: 'By the fit, at the average covariates of the class' }),
      lowerYears: Nullable(Type.Number({ description: 'Band of the age at this share' })),
      upperYears: Nullable(Type.Number()),
    }),
  ),
  bandLevel: Type.Number({ description: 'Of the band of the line' }),
  axis: Type.Array(Type.Object({ failed: Type.Number(), quantile: Type.Number() }), {
    description: 'Where the shares of the vertical axis stand on the paper',
  }),
  sentence: Type.String({ description: 'Whether the line fits the records' }),
  note: Nullable(Type.String()),
});
export type ProbabilityPlot = Static<typeof ProbabilityPlotSchema>;

/** What a statistician asks of the current fit. A part that cannot be had is null or empty, and `notes` says why. */
export const DiagnosticsSchema = Type.Object({
  rows: Type.Integer({ description: 'Seals in the fit' }),
  failures: Type.Integer(),
  observedExpected: Nullable(ObservedExpectedReportSchema),
  coxSnell: Nullable(CoxSnellSchema),
  residuals: Type.Array(CovariateResidualsSchema),
  shape: Nullable(ShapeProfileSchema),
  classes: Type.Array(ClassKnowledgeSchema),
  entryAge: Nullable(EntryAgeCheckSchema),
  probabilityPlots: Type.Array(ProbabilityPlotSchema),
  notes: Type.Array(Type.String()),
});
export type Diagnostics = Static<typeof DiagnosticsSchema>;
